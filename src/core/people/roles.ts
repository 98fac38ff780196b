/** What a person may do; a person can hold several. */
export const ROLES = ['technician', 'releaser', 'manager', 'director', 'reviewer', 'administrator'] as const;
export type Role = (typeof ROLES)[number];
