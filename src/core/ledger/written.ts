/** The unit in which a reagent is counted when its catalogue entry says none. */
export const USUAL_UNIT = 'mL';

/** 'What it holds' as people write it, such as '500 mL'; undefined when it is no number with a unit. */
export function writtenQuantity(text: string): { value: number; unit: string } | undefined {
  const found = /^(\d+(?:\.\d+)?)\s*(\S+)$/.exec(text.trim());
  return found ? { value: Number(found[1]), unit: found[2] as string } : undefined;
}
