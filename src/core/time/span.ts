const PARTS: [name: string, ms: number][] = [
  ['d', 86_400_000],
  ['h', 3_600_000],
  ['min', 60_000],
];

/** A duration in ms as a person reads it, exact to the millisecond. `span(80500)` is '1 min 20.5 s'. */
export function span(ms: number): string {
  let rest = Math.abs(ms);
  const words: string[] = [];
  for (const [name, size] of PARTS) {
    const count = Math.floor(rest / size);
    if (count > 0) words.push(`${count} ${name}`);
    rest -= count * size;
  }
  if (rest > 0 || words.length === 0) words.push(`${rest / 1000} s`);
  return (ms < 0 ? 'minus ' : '') + words.join(' ');
}
