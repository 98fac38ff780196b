/**
 * A list cut into parts of at most `size`, in its order; none of an empty list. `size` is a whole number from 1.
 * `partsOf([1, 2, 3], 2)` is [[1, 2], [3]].
 */
export function partsOf<T>(list: readonly T[], size: number): T[][] {
  const count = Math.ceil(list.length / size);
  return Array.from({ length: count }, (_, n) => list.slice(n * size, (n + 1) * size));
}
