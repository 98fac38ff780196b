/** Digits of a PIN that is typed with gloves in passing: fewer are guessed, more are written on the badge (common practice, no source). */
export const PIN_DIGITS = { least: 6, most: 8 } as const;

/**
 * What speaks against a new PIN, in words that say what would be right; null when nothing does. `pinFault('123456')` tells
 * that its digits follow one another.
 */
export function pinFault(pin: string): string | null {
  const { least, most } = PIN_DIGITS;
  if (!/^\d+$/.test(pin) || pin.length < least || pin.length > most) {
    return `take ${least} to ${most} digits and nothing else`;
  }
  const steps = new Set([...pin].slice(1).map((digit, n) => (Number(digit) - Number(pin[n]) + 10) % 10));
  const [step] = steps;
  if (steps.size === 1 && (step === 0 || step === 1 || step === 9)) {
    return 'take digits that are not all the same and do not just count up or down';
  }
  return null;
}
