/** No path: nothing is asked between two moments. */
const NONE = Number.NEGATIVE_INFINITY;

/**
 * A simple temporal network (Dechter, Meiri, Pearl, Artif Intell 1991;49:61-95): moments 0..size-1 and demands "v at
 * least w after u", kept closed as the longest paths between all pairs, so that an order of two moments can be judged
 * at a glance. Changes can be taken back to a mark.
 */
export class Network {
  private readonly longest: Float64Array;
  private readonly trailAt: number[] = [];
  private readonly trailWas: number[] = [];

  constructor(readonly size: number) {
    this.longest = new Float64Array(size * size).fill(NONE);
    for (let u = 0; u < size; u++) this.longest[u * size + u] = 0;
  }

  /** What all demands together ask between two moments: v at least this long after u. */
  least(u: number, v: number): number {
    return this.longest[u * this.size + v] as number;
  }

  /** Asks that v is at least `weight` after u; false, with nothing changed, when that contradicts what is asked already. */
  ask(u: number, v: number, weight: number): boolean {
    const { size, longest } = this;
    if ((longest[u * size + v] as number) >= weight) return true;
    if ((longest[v * size + u] as number) + weight > 0) return false;
    const onward = v * size;
    for (let i = 0; i < size; i++) {
      const row = i * size;
      const reach = (longest[row + u] as number) + weight;
      if (reach <= (longest[row + v] as number)) continue;
      for (let j = 0; j < size; j++) {
        const path = reach + (longest[onward + j] as number);
        const was = longest[row + j] as number;
        if (path > was) {
          this.trailAt.push(row + j);
          this.trailWas.push(was);
          longest[row + j] = path;
        }
      }
    }
    return true;
  }

  mark(): number {
    return this.trailAt.length;
  }

  backTo(mark: number): void {
    const { longest, trailAt, trailWas } = this;
    for (let k = trailAt.length - 1; k >= mark; k--) longest[trailAt[k] as number] = trailWas[k] as number;
    trailAt.length = mark;
    trailWas.length = mark;
  }
}
