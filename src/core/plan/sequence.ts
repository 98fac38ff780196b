/**
 * Numbers from 0 up to but without `below` that look drawn but are always the same, so that one problem has one answer
 * (linear congruential, constants of Numerical Recipes).
 */
export function sequence(seed: number): (below: number) => number {
  let state = seed >>> 0;
  return (below) => {
    state = (Math.imul(state, 1664525) + 1013904223) >>> 0;
    return Math.floor((state / 2 ** 32) * below);
  };
}
