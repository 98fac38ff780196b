import { Injectable } from '@nestjs/common';
import type { LabelQueryDto } from '../../contract/stock.dto.js';
import { labelText } from '../../core/labels/label-text.js';
import { SHEETS } from '../../core/labels/sheets.js';
import { Refusal } from '../../core/refusal.js';
import { needLaboratory } from '../../store/questions/laboratories.js';
import { knownLots } from '../../store/questions/lots.js';
import { needReagent } from '../../store/questions/reagents.js';
import { Store } from '../../store/store.js';
import type { Acting } from '../http/access.js';
import { labelsPdf } from './labels-pdf.js';

/** The labels of a lot's containers, for the printer. */
@Injectable()
export class LabelsService {
  constructor(private readonly store: Store) {}

  async pdf({ laboratoryId }: Acting, id: string, query: LabelQueryDto): Promise<{ name: string; content: Buffer }> {
    const sheet = SHEETS[query.sheet];
    const each = sheet.columns * sheet.rows;
    if (query.start > each) {
      const message = `start is ${query.start}, and this sheet has ${each} labels; give 1 to ${each}`;
      throw new Refusal('invalid', 'no-such-label', message, [{ at: 'start', message }]);
    }
    const { number, labels } = await this.store.read(laboratoryId, async (view) => {
      const [lot] = await knownLots(view, { id }, { take: 1 });
      if (!lot) throw new Refusal('not-found', 'not-found', `There is no lot ${id}.`);
      const reagent = await needReagent(view, lot.row.reagentCode);
      const { zone } = await needLaboratory(view);
      const here = lot.containers.filter(
        ({ acts, row }) =>
          (query.container === undefined || row.id === query.container) &&
          !acts.some(({ state }) => state === 'emptied' || state === 'discarded'),
      );
      return {
        number: lot.row.number,
        labels: here.map(({ row: { label, size }, acts, facts }) => {
          const openedAt = acts.find(({ state }) => state === 'opened')?.at ?? null;
          return labelText({ label, size, openedAt, limits: facts.limits }, lot.row, reagent, zone);
        }),
      };
    });
    if (labels.length === 0) {
      throw new Refusal('conflict', 'no-labels', `Nothing of lot ${number} is here that could carry a label.`);
    }
    const title = `Labels of lot ${number}`;
    const content = await labelsPdf(labels, sheet, { start: query.start - 1, kind: query.code, title });
    return { name: `labels-${number.replace(/[^\w.-]+/g, '-')}.pdf`, content };
  }
}
