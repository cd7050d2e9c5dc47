import { z } from "zod";

export type Direction = "ascending" | "descending";

/** What a list on the server is asked for. `page` counts from 1. */
export interface TableState<Sort extends string = string, Filter extends string = string> {
  readonly page: number;
  readonly pageSize: number;
  readonly sort: Sort;
  readonly direction: Direction;
  readonly filters: Readonly<Partial<Record<Filter, string>>>;
}

export interface TableShape<Sort extends string, Filter extends string> {
  readonly sorts: readonly Sort[];
  readonly defaultSort: Sort;
  readonly defaultDirection?: Direction;
  readonly filters?: readonly Filter[];
  readonly pageSize?: number;
  /** Put before every name in the address where a page has two tables. */
  readonly prefix?: string;
}

export const pageSizes = [25, 50, 100] as const;

const pageNumber = z.coerce.number().int().min(1).max(1_000_000);

/** Reads the state out of an address. What an address says wrongly falls back to the default. */
export function readTableState<Sort extends string, Filter extends string>(
  parameters: Pick<URLSearchParams, "get">,
  shape: TableShape<Sort, Filter>,
): TableState<Sort, Filter> {
  const get = (name: string) => parameters.get(`${shape.prefix ?? ""}${name}`);
  const page = pageNumber.safeParse(get("page") ?? 1);
  const size = pageNumber.safeParse(get("size"));
  const sort = shape.sorts.find((known) => known === get("sort"));
  const direction = get("direction");
  const filters: Partial<Record<Filter, string>> = {};
  for (const name of shape.filters ?? []) {
    const value = get(name);
    if (value !== null && value !== "") filters[name] = value;
  }
  return {
    page: page.success ? page.data : 1,
    pageSize:
      pageSizes.find((known) => size.success && known === size.data) ?? shape.pageSize ?? pageSizes[0],
    sort: sort ?? shape.defaultSort,
    direction:
      direction === "ascending" || direction === "descending"
        ? direction
        : (shape.defaultDirection ?? "ascending"),
    filters,
  };
}

/** Writes the state into an address, leaving out what is the default and keeping what belongs to others. */
export function writeTableState<Sort extends string, Filter extends string>(
  parameters: URLSearchParams,
  shape: TableShape<Sort, Filter>,
  state: TableState<Sort, Filter>,
): URLSearchParams {
  const next = new URLSearchParams(parameters);
  const put = (name: string, value: string | undefined, standard: string) => {
    const key = `${shape.prefix ?? ""}${name}`;
    if (value === undefined || value === standard) next.delete(key);
    else next.set(key, value);
  };
  put("page", String(state.page), "1");
  put("size", String(state.pageSize), String(shape.pageSize ?? pageSizes[0]));
  put("sort", state.sort, shape.defaultSort);
  put("direction", state.direction, shape.defaultDirection ?? "ascending");
  for (const name of shape.filters ?? []) put(name, state.filters[name], "");
  return next;
}
