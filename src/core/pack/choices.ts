/** What becomes of patients' identifiers and free words in a pack; the chain holds their salted hashes either way. */
export const IDENTIFIER_CHOICES = ['left out', 'masked', 'included'] as const;
export type IdentifierChoice = (typeof IDENTIFIER_CHOICES)[number];

/** How much of the chain goes in: all from the first entry on, or from the last checkpoint before the period on. */
export const CHAIN_CHOICES = ['whole', 'period'] as const;
export type ChainChoice = (typeof CHAIN_CHOICES)[number];
