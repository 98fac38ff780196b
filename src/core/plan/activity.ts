/** What takes units of a resource from `startLag` after the moment `start` to `endLag` after the moment `end`. */
export interface Activity {
  start: number;
  startLag: number;
  end: number;
  endLag: number;
  units: number;
}

export interface Resource {
  capacity: number;
  /** What may still move; each takes one unit. */
  work: Activity[];
  /** What cannot move, as stretches that do not overlap and never take more than there is: what was, was. */
  taken: Activity[];
  /** Of each pair of hands when it is away; empty where all units are alike. */
  away: Activity[][];
  /** What takes a pair of hands, whichever, and cannot move. */
  held: Activity[];
}
