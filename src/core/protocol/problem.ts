/** Where something stands in a file or a body, from the outside in: ['steps', 2, 'time']. */
export type Path = readonly (string | number)[];

/** One thing that is wrong in a file or a body: where it stands, and in words what is wrong and what would be right. */
export interface Problem {
  path: Path;
  message: string;
  code: string;
}
