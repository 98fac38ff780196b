/** What a calendar shows: a whole local day, or an instant. */
export interface CalendarEntry {
  /** The same for the same matter each time the feed is fetched: 'lot-expiry:<lot>'. */
  key: string;
  /** Local day, for what belongs to a day. */
  day?: string;
  /** For what falls due at an instant. */
  at?: string;
  title: string;
  about: string;
  /** Page where it is dealt with. */
  path: string;
}
