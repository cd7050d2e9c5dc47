"use client";

import { Button, NativeSelect } from "@mantine/core";
import type { ReactNode } from "react";
import classes from "./data-table.module.css";
import stackedTable from "./stacked-table.module.css";
import { pageSizes } from "./table-state";
import type { TableControls } from "./use-table-state";

export interface Column<Row, Sort extends string = string> {
  /** Unique; the name of the sort when `sortable`. */
  readonly id: string;
  readonly header: ReactNode;
  /** Shown lighter after the header. */
  readonly unit?: string;
  readonly cell: (row: Row) => ReactNode;
  /** The server's name for sorting by this column; without it the column cannot be sorted. */
  readonly sort?: Sort;
  /** Right for numbers. */
  readonly align?: "left" | "right";
  readonly minWidth?: number;
}

interface DataTableProps<Row, Sort extends string, Filter extends string> {
  /** What the rows are, for screen readers: "Volunteers". */
  readonly label: string;
  readonly columns: readonly Column<Row, Sort>[];
  /** `undefined` while the first answer is awaited. */
  readonly rows: readonly Row[] | undefined;
  readonly rowKey: (row: Row) => string;
  /** How many rows there are on the server under these filters. */
  readonly total: number | undefined;
  readonly controls: TableControls<Sort, Filter>;
  /** A newer answer is awaited; the rows shown are the previous ones. */
  readonly pending?: boolean;
  /** Search and filter fields, in one row above the table. */
  readonly filters?: ReactNode;
  /** On a phone rows stand as paragraphs, instead of being scrolled sideways. */
  readonly stacked?: boolean;
  /** What to say when there is nothing and nothing was filtered away: an EmptyState. */
  readonly empty: ReactNode;
}

/** A list that filters, sorts and pages on the server. The first column stays in sight when the rest is scrolled. */
export function DataTable<Row, Sort extends string, Filter extends string>({
  label,
  columns,
  rows,
  rowKey,
  total,
  controls,
  pending = false,
  filters,
  stacked = false,
  empty,
}: DataTableProps<Row, Sort, Filter>) {
  const { state, filtered } = controls;
  if (rows !== undefined && rows.length === 0 && total === 0 && !filtered && !pending) return empty;
  return (
    <div>
      {filters !== undefined && (
        <search className={classes.filters} aria-label={`Filter: ${label}`}>
          {filters}
          {filtered && (
            <Button variant="subtle" onClick={controls.clearFilters}>
              Clear filters
            </Button>
          )}
        </search>
      )}
      {/* biome-ignore lint/a11y/noNoninteractiveTabindex: what scrolls must be reachable with the keyboard */}
      <section className={classes.scroll} aria-label={label} tabIndex={0}>
        <table
          className={`${classes.table} ${stacked ? stackedTable.stacked : ""}`}
          aria-busy={pending || rows === undefined}
          data-pending={pending || undefined}
        >
          <thead>
            <tr>
              {columns.map((column) => (
                <th
                  key={column.id}
                  scope="col"
                  data-align={column.align}
                  style={column.minWidth === undefined ? undefined : { minWidth: column.minWidth }}
                  {...(column.sort === undefined
                    ? {}
                    : { "aria-sort": column.sort === state.sort ? state.direction : ("none" as const) })}
                >
                  {column.sort === undefined ? (
                    <Heading column={column} />
                  ) : (
                    <SortButton column={column} sort={column.sort} controls={controls} />
                  )}
                </th>
              ))}
            </tr>
          </thead>
          <tbody>
            {rows?.map((row) => (
              <tr key={rowKey(row)}>
                {columns.map((column, index) =>
                  index === 0 ? (
                    <th key={column.id} scope="row" data-align={column.align}>
                      {column.cell(row)}
                    </th>
                  ) : (
                    <td
                      key={column.id}
                      data-align={column.align}
                      data-label={stacked && typeof column.header === "string" ? column.header : undefined}
                    >
                      {column.cell(row)}
                    </td>
                  ),
                )}
              </tr>
            ))}
            {rows !== undefined && rows.length === 0 && (
              <tr>
                <td colSpan={columns.length} className={classes.none}>
                  {filtered ? "Nothing matches these filters." : "Nothing on this page."}
                </td>
              </tr>
            )}
            {rows === undefined && (
              <tr>
                <td colSpan={columns.length} className={classes.none} role="status">
                  Reading …
                </td>
              </tr>
            )}
          </tbody>
        </table>
      </section>
      {total !== undefined && total > 0 && <Paging label={label} total={total} controls={controls} />}
    </div>
  );
}

function Heading<Row, Sort extends string>({ column }: { readonly column: Column<Row, Sort> }) {
  return (
    <span>
      {column.header}
      {column.unit !== undefined && <span className={classes.unit}> {column.unit}</span>}
    </span>
  );
}

interface SortButtonProps<Row, Sort extends string, Filter extends string> {
  readonly column: Column<Row, Sort>;
  readonly sort: Sort;
  readonly controls: TableControls<Sort, Filter>;
}

function SortButton<Row, Sort extends string, Filter extends string>({
  column,
  sort,
  controls,
}: SortButtonProps<Row, Sort, Filter>) {
  const direction = controls.state.sort === sort ? controls.state.direction : undefined;
  return (
    <button type="button" className={classes.sort} onClick={() => controls.toggleSort(sort)}>
      <Heading column={column} />
      <svg viewBox="0 0 8 12" width="8" height="12" aria-hidden="true" data-direction={direction}>
        <path d="M0.5 5 4 1.5 7.5 5" fill="none" stroke="currentColor" strokeWidth="1.5" />
        <path d="M0.5 7 4 10.5 7.5 7" fill="none" stroke="currentColor" strokeWidth="1.5" />
      </svg>
    </button>
  );
}

interface PagingProps<Sort extends string, Filter extends string> {
  readonly label: string;
  readonly total: number;
  readonly controls: TableControls<Sort, Filter>;
}

function Paging<Sort extends string, Filter extends string>({
  label,
  total,
  controls,
}: PagingProps<Sort, Filter>) {
  const { page, pageSize } = controls.state;
  const pages = Math.max(1, Math.ceil(total / pageSize));
  const first = Math.min(total, (page - 1) * pageSize + 1);
  const last = Math.min(total, page * pageSize);
  const smallest = pageSizes[0];
  return (
    <nav className={classes.paging} aria-label={`Pages: ${label}`}>
      <span className="numbers" role="status">
        {page > pages ? `Page ${page} of ${pages}` : `${first}–${last} of ${total}`}
      </span>
      {(pages > 1 || page > 1) && (
        <span className={classes.turn}>
          <Button disabled={page <= 1} onClick={() => controls.setPage(Math.min(page - 1, pages))}>
            Previous
          </Button>
          <Button disabled={page >= pages} onClick={() => controls.setPage(page + 1)}>
            Next
          </Button>
        </span>
      )}
      {total > smallest && (
        <NativeSelect
          aria-label="Rows per page"
          data={pageSizes.map((size) => ({ value: String(size), label: `${size} rows` }))}
          value={String(pageSize)}
          onChange={(event) => controls.setPageSize(Number(event.currentTarget.value))}
        />
      )}
    </nav>
  );
}
