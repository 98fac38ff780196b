import { MoreThan } from 'typeorm';
import type { FileFolder } from '../files/folder.js';
import { FileRow } from '../rows/files.entity.js';
import type { View } from '../view.js';

const PAGE = 200;

/** A kept file whose content is not in the folder as it was kept. */
export interface FileFault {
  id: string;
  seq: number;
  message: string;
}

/** Reads the content of every kept file of a laboratory and tells of each that is gone or changed; `counts.files` counts them. */
export async function* fileFaults(
  view: View,
  folder: FileFolder,
  counts: { files: number },
): AsyncGenerator<FileFault> {
  for (let after = ''; ;) {
    const rows = await view.all(FileRow, { id: MoreThan(after) }, { take: PAGE });
    for (const { id, seq, sha256, bytes, name } of rows) {
      counts.files += 1;
      const fault = await folder.faultOf({ sha256, bytes });
      if (fault !== null) yield { id, seq, message: `the file "${name}": ${fault}` };
      after = id;
    }
    if (rows.length < PAGE) return;
  }
}

/** Whether any laboratory of this database names a file of this content. */
export async function isKept(view: View, sha256: string): Promise<boolean> {
  return (await view.ready()).exists(FileRow, { where: { sha256 } });
}
