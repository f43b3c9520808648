/**
 * Columns to be selected, under the names that this program knows. Without them SQLite names a column of a result as the file's schema
 * spells it, where a changed bit can make `permit` into `Permit`: it is found as before, and its value is not.
 *
 * @param columns each with the table that it is in, where several are read: `benches.kind`
 */
export function namedColumns(columns: readonly string[]): string {
  return columns
    .map((column) => {
      const parts = column.split('.').map((part) => `"${part}"`);
      return `${parts.join('.')} AS ${parts.at(-1)}`;
    })
    .join(', ');
}
