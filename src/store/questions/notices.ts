import { IsNull } from 'typeorm';
import { NoticeRow } from '../rows/jobs.entity.js';
import type { View } from '../view.js';

/** Notices that nobody has seen yet, newest first. */
export function unseenNotices(view: View): Promise<NoticeRow[]> {
  return view.all(NoticeRow, { seenBy: IsNull() }, { order: { at: 'DESC', id: 'DESC' }, take: 200 });
}
