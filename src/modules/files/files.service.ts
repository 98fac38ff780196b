import type { Readable } from 'node:stream';
import { Injectable } from '@nestjs/common';
import { Config } from '../../config.js';
import type { FileDto, NewFileDto } from '../../contract/files.dto.js';
import { FileFolder } from '../../store/files/folder.js';
import { FileRow } from '../../store/rows/files.entity.js';
import { Store } from '../../store/store.js';
import { type Acting, onceOf } from '../http/access.js';

@Injectable()
export class FilesService {
  private readonly folder: FileFolder;
  private readonly limit: number;

  constructor(
    private readonly store: Store,
    { filesDir, fileLimit }: Config,
  ) {
    this.folder = new FileFolder(filesDir);
    this.limit = fileLimit;
  }

  /** First the content, then the row: what is acknowledged is on the disk, and what was cut off between leaves no row. */
  async keep(acting: Acting, { name }: NewFileDto, body: Readable, key?: string): Promise<FileDto> {
    const { mediaType, bytes, sha256 } = await this.folder.keep(body, this.limit);
    return this.store.change(
      acting,
      'file.kept',
      async (unit) => {
        const { personId } = unit.actor;
        const { id } = await unit.insert(FileRow, { name, mediaType, bytes, sha256, personId });
        unit.about('file', id, { mediaType, bytes, sha256 });
        return { id, name, mediaType, bytes, sha256 };
      },
      onceOf(key, { name, sha256 }),
    );
  }

  async find({ laboratoryId }: Acting, id: string): Promise<{ row: FileRow; open: () => Promise<Readable> }> {
    const row = await this.store.read(laboratoryId, (view) => view.need(FileRow, { id }, `file ${id}`));
    return { row, open: async () => (await this.folder.open(row)).createReadStream() };
  }
}
