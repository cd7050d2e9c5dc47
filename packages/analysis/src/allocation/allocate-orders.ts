import { AnalysisError } from "../analysis-error";
import { seededGenerator } from "../statistics";
import { latinSquare } from "./latin-square";
import { type OrderBalance, orderBalance } from "./order-balance";
import { williamsDesign } from "./williams-design";

export interface AllocatedOrder {
  readonly volunteer: string;
  readonly order: readonly string[];
  /** Which block of the design the volunteer belongs to, counted from 1. */
  readonly block: number;
}

export interface OrderAllocation {
  readonly method: string;
  readonly orders: readonly AllocatedOrder[];
  readonly balance: OrderBalance;
  /** Volunteers in a full block; with a multiple of it the design is balanced. */
  readonly blockSize: number;
  readonly seed: number;
}

/**
 * Gives every volunteer an order of the conditions. Volunteers fill one block after the other; within a block every order of
 * the design is used once, at random. `latin square` balances positions, `williams` also what follows what.
 * @throws AnalysisError `too few` below two conditions, `empty` without volunteers, `refused` for repeated names, and as
 * `seededGenerator`.
 */
export function allocateOrders(input: {
  readonly volunteers: readonly string[];
  readonly conditions: readonly string[];
  readonly design?: "latin square" | "williams";
  readonly seed: number;
}): OrderAllocation {
  const { volunteers, conditions, design = "williams", seed } = input;
  if (conditions.length < 2) {
    throw new AnalysisError(
      "too few",
      NAME,
      "conditions",
      `at least two conditions, not ${conditions.length}`,
    );
  }
  if (volunteers.length === 0) throw new AnalysisError("empty", NAME, "volunteers", "at least one volunteer");
  requireDistinct(volunteers, "volunteers");
  requireDistinct(conditions, "conditions");
  const generator = seededGenerator(seed);
  const size = conditions.length;
  const orders: AllocatedOrder[] = [];
  const blockSize = design === "williams" && size % 2 === 1 ? 2 * size : size;
  for (let block = 1; orders.length < volunteers.length; block++) {
    // Conditions are named anew in every block, so that no order is more likely than another.
    const names = generator.shuffle([...conditions]);
    const rows = design === "williams" ? williamsDesign(size) : latinSquare(size, generator.uint32());
    for (const row of generator.shuffle(rows)) {
      const volunteer = volunteers[orders.length];
      if (volunteer === undefined) break;
      orders.push({ volunteer, order: row.map((number) => names[number] as string), block });
    }
  }
  return {
    method:
      design === "williams"
        ? "orders balanced for position and carry-over (Williams), in randomised blocks"
        : "orders balanced for position (Latin squares), in randomised blocks",
    orders,
    balance: orderBalance(
      orders.map(({ order }) => order),
      conditions,
    ),
    blockSize,
    seed,
  };
}

const NAME = "allocateOrders";

function requireDistinct(names: readonly string[], argument: string): void {
  const repeated = names.find((name, i) => names.indexOf(name) !== i);
  if (repeated === undefined) return;
  throw new AnalysisError(
    "refused",
    NAME,
    argument,
    `each of the ${argument} once; ${repeated} is there twice`,
  );
}
