/** A count with what is counted: `counted(1, 'run')` is "1 run", `counted(0, 'batch', 'batches')` "0 batches". */
export function counted(count: number, one: string, many = `${one}s`): string {
  return `${count} ${count === 1 ? one : many}`;
}
