import type { Reagent } from '../protocol/protocol.js';

/** Where the gate's sentences say the code of a reagent, each in the last group of its match. */
const PLACES = [
  /(\bholds )([^\s;]+)(?=; the step wants )/g,
  /(; the step wants )([^\s.;]+)/g,
  /(\blot [^,:;]+? of )([^\s,;]+)/g,
  /( was fixed in )([^\s.]+)/g,
];

/**
 * A text of a finding with the names of reagents where it says their codes, for showing it: the text itself is kept as it
 * was judged, so that it is found again however the catalogue is revised. A text that is nothing but a code becomes the
 * name; a code that the catalogue does not have stays. With eosin in the catalogue, 'container SW1:C:A holds eosin-y; the
 * step wants mayer' becomes 'container SW1:C:A holds Eosin Y; the step wants mayer'.
 */
export function withReagentNames(text: string, reagents: readonly Pick<Reagent, 'code' | 'name'>[]): string {
  const nameOf = (code: string): string => reagents.find((each) => each.code === code)?.name ?? code;
  return PLACES.reduce(
    (said, place) => said.replace(place, (_all, before: string, code: string) => before + nameOf(code)),
    nameOf(text),
  );
}
