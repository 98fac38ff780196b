/** What a random sample can be drawn of. */
export const SAMPLED = ['runs', 'releases', 'lots', 'control readings'] as const;
export type Sampled = (typeof SAMPLED)[number];
