import { Column, PrimaryColumn } from 'typeorm';

/** A row that is written once, with the record number of the act that wrote it, and never changed. */
export abstract class FactRow {
  @PrimaryColumn('text')
  id: string;

  @Column('text')
  laboratoryId: string;

  /** Number of the record entry whose act wrote this row. */
  @Column('integer')
  seq: number;
}
