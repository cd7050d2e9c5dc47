"use client";

import { usePathname, useSearchParams } from "next/navigation";
import { useMemo } from "react";
import {
  type Direction,
  readTableState,
  type TableShape,
  type TableState,
  writeTableState,
} from "./table-state";

export interface TableControls<Sort extends string, Filter extends string> {
  readonly state: TableState<Sort, Filter>;
  readonly setPage: (page: number) => void;
  readonly setPageSize: (pageSize: number) => void;
  /** Sorts by a column; a second time, the other way round. Goes back to the first page. */
  readonly toggleSort: (sort: Sort) => void;
  readonly setSort: (sort: Sort, direction: Direction) => void;
  /** An empty text takes the filter away. Goes back to the first page. */
  readonly setFilter: (name: Filter, value: string) => void;
  readonly clearFilters: () => void;
  readonly filtered: boolean;
}

/**
 * The state of a list, kept in the address, so that it survives a reload and can be sent to a colleague. Changing it
 * asks the server only for rows: the page itself is not fetched anew. Declare `shape` outside of the component.
 */
export function useTableState<Sort extends string, Filter extends string = never>(
  shape: TableShape<Sort, Filter>,
): TableControls<Sort, Filter> {
  const parameters = useSearchParams();
  const pathname = usePathname();
  return useMemo(() => {
    const state = readTableState(parameters, shape);
    const noFilters: Partial<Record<Filter, string>> = {};
    const go = (change: Partial<TableState<Sort, Filter>>) => {
      // Read at the moment of the change, not at render: two changes in a row must both survive.
      const current = new URLSearchParams(window.location.search);
      const next = writeTableState(current, shape, {
        ...readTableState(current, shape),
        ...change,
      }).toString();
      window.history.replaceState(null, "", next === "" ? pathname : `${pathname}?${next}`);
    };
    return {
      state,
      setPage: (page) => go({ page }),
      setPageSize: (pageSize) => go({ pageSize, page: 1 }),
      setSort: (sort, direction) => go({ sort, direction, page: 1 }),
      toggleSort: (sort) =>
        go({
          sort,
          direction: state.sort === sort && state.direction === "ascending" ? "descending" : "ascending",
          page: 1,
        }),
      setFilter: (name, value) => {
        const current = readTableState(new URLSearchParams(window.location.search), shape).filters;
        go({ filters: { ...current, [name]: value }, page: 1 });
      },
      clearFilters: () => go({ filters: noFilters, page: 1 }),
      filtered: Object.keys(state.filters).length > 0,
    };
  }, [parameters, pathname, shape]);
}
