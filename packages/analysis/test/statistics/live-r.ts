import { WebR } from "webr";

/** R itself (compiled to WebAssembly), as the reference of these tests. */
export interface LiveR {
  /** Evaluates R code to a numeric vector; `variables` are bound as double vectors, character vectors or matrices. */
  numbers(code: string, variables?: Record<string, Bound>): Promise<number[]>;
  close(): void;
}

export type Bound =
  | number
  | ArrayLike<number>
  | readonly string[]
  | { readonly rows: readonly (readonly number[])[] };

export async function startR(): Promise<LiveR> {
  const webR = new WebR({ interactive: false });
  await webR.init();
  const shelter = await new webR.Shelter();
  const bind = async (name: string, value: Bound) => {
    if (typeof value === "object" && "rows" in value) {
      const flat = value.rows.flat();
      await webR.objs.globalEnv.bind(`${name}.flat`, await new shelter.RDouble(flat));
      await webR.evalRVoid(`${name} <- matrix(${name}.flat, nrow = ${value.rows.length}, byrow = TRUE)`);
    } else if (typeof value === "number") {
      await webR.objs.globalEnv.bind(name, await new shelter.RDouble([value]));
    } else if (isWords(value)) {
      await webR.objs.globalEnv.bind(name, await new shelter.RCharacter([...value]));
    } else {
      await webR.objs.globalEnv.bind(name, await new shelter.RDouble(Array.from(value)));
    }
  };
  return {
    numbers: async (code, variables = {}) => {
      for (const [name, value] of Object.entries(variables)) await bind(name, value);
      const result = await webR.evalR(`as.double(suppressWarnings({ ${code} }))`);
      try {
        const { values } = (await result.toJs()) as { values: (number | null)[] };
        return values.map((value) => value ?? Number.NaN);
      } finally {
        await webR.destroy(result);
        await shelter.purge();
      }
    },
    close: () => webR.close(),
  };
}

function isWords(value: ArrayLike<number> | readonly string[]): value is readonly string[] {
  return value.length > 0 && typeof value[0] === "string";
}
