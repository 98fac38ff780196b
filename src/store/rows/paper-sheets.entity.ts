import { Column, Entity, ForeignKey, Index } from 'typeorm';
import type { Instant } from '../../core/time/instant.js';
import { FactRow } from './fact.js';
import { FileRow } from './files.entity.js';
import { RevisionRow } from './protocols.entity.js';
import { RunRow } from './runs.entity.js';

/** A sheet that was printed for work without the program. Its number is the laboratory's next, so that a missing one shows. */
@Entity('paper_sheet')
@Index('paper_sheet_number', ['laboratoryId', 'number'], { unique: true })
export class PaperSheetRow extends FactRow {
  @Column('integer')
  number: number;

  /** What its code says. */
  @Column('text')
  label: string;

  @ForeignKey(() => RevisionRow, { name: 'paper_sheet_of' })
  @Column('text')
  revisionId: string;

  @Column('text')
  at: Instant;

  @Column('text')
  personId: string;
}

/** What became of a sheet: a run was entered from it, or nothing will be. */
@Entity('paper_sheet_end')
@Index('paper_sheet_end_sheet', ['sheetId'], { unique: true })
export class PaperSheetEndRow extends FactRow {
  @ForeignKey(() => PaperSheetRow, { name: 'paper_sheet_ended' })
  @Column('text')
  sheetId: string;

  /** Null where it is void. */
  @ForeignKey(() => RunRow, { name: 'paper_sheet_run' })
  @Column('text', { nullable: true })
  runId: string | null;

  /** Why it is void; null where a run was entered. */
  @Column('text', { nullable: true })
  reason: string | null;

  /** A photograph of it. */
  @ForeignKey(() => FileRow, { name: 'paper_sheet_file' })
  @Column('text', { nullable: true })
  fileId: string | null;

  @Column('text')
  at: Instant;

  @Column('text')
  personId: string;
}
