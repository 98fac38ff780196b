/** Values by key, each in the order of its rows. */
export function grouped<Row, Value>(
  rows: readonly Row[],
  key: (row: Row) => string,
  value: (row: Row) => Value,
): Map<string, Value[]> {
  const groups = new Map<string, Value[]>();
  for (const row of rows) {
    const name = key(row);
    const group = groups.get(name);
    if (group) group.push(value(row));
    else groups.set(name, [value(row)]);
  }
  return groups;
}
