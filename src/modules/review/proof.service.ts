import { randomBytes } from 'node:crypto';
import { Injectable, type StreamableFile } from '@nestjs/common';
import { Clock } from '../../clock.js';
import type {
  PeriodDto,
  PopulationQueryDto,
  ProofDto,
  ProofQueryDto,
  RequirementDto,
  RequirementListDto,
  SampleDto,
  SampleQueryDto,
  SignaturesDto,
} from '../../contract/review.dto.js';
import { drawSample, SAMPLE_METHOD } from '../../core/ask/sample.js';
import { checkArea } from '../../core/people/review.js';
import { tenures } from '../../core/people/tenure.js';
import { sha256 } from '../../core/record/record.js';
import { Refusal } from '../../core/refusal.js';
import { REQUIREMENTS } from '../../core/requirements/all.js';
import { proofState } from '../../core/requirements/requirement.js';
import { namesOf } from '../../store/questions/people.js';
import { proofCounts, proofRows, type Proving } from '../../store/questions/proof/proof.js';
import { PROOFS } from '../../store/questions/proof/proofs.js';
import { populationOf } from '../../store/questions/review/population.js';
import { rolesGiven, signaturesBetween } from '../../store/questions/review/signatures.js';
import { Store } from '../../store/store.js';
import type { View } from '../../store/view.js';
import type { Acting } from '../http/access.js';
import { csvFile, pagesOf } from '../http/csv-file.js';
import { Reviewing } from '../http/reviewing.js';
import { ReviewService } from './review.service.js';

const PAGE = 50;
const MOST_SIGNATURES = 200;

type Known = (typeof REQUIREMENTS)[number];

/** Requirements beside what proves them, random samples, and signatures against tenure. */
@Injectable()
export class ProofService {
  constructor(
    private readonly store: Store,
    private readonly clock: Clock,
    private readonly reviewing: Reviewing,
    private readonly questions: ReviewService,
  ) {}

  async requirements(acting: Acting, period: PeriodDto): Promise<RequirementListDto> {
    const { from, to, protocols } = await this.questions.asking(acting, period);
    await this.looked(acting, 'GET /api/review/requirements', 'requirements', { from, to });
    const proving = { asking: { from, to, protocols }, now: this.clock.now() };
    return this.store.read(acting.laboratoryId, async (view) => {
      const requirements: RequirementDto[] = [];
      for (const each of REQUIREMENTS) if (mayAsk(acting, each)) requirements.push(await counted(view, each, proving));
      return { from, to, requirements };
    });
  }

  async proof(acting: Acting, id: string, { only, after, take = PAGE, ...period }: ProofQueryDto): Promise<ProofDto> {
    const asking = await this.questions.asking(acting, period);
    const requirement = REQUIREMENTS.find((each) => each.id === id);
    if (!requirement) throw new Refusal('not-found', 'not-found', `There is no requirement ${id}.`);
    if (!mayAsk(acting, requirement)) {
      throw new Refusal(
        'forbidden',
        'outside-review',
        'The records that prove this are not part of what you were granted.',
      );
    }
    const { from, to } = asking;
    await this.looked(acting, 'GET /api/review/requirements/:id', requirement.id, { from, to });
    const proving = { asking, now: this.clock.now() };
    return this.store.read(acting.laboratoryId, async (view) => {
      const page = { gapsOnly: only === 'gaps', take, after: after === undefined ? null : placeIn(after) };
      const rows = await proofRows(view, PROOFS[requirement.id], proving, page);
      const last = rows.length < take ? undefined : rows.at(-1);
      const next = last ? `${last.at} ${last.id}` : null;
      return { from, to, requirement: await counted(view, requirement, proving), rows, next };
    });
  }

  /** Draws at random and keeps the draw, so that nobody can draw until the sample pleases without its showing. */
  async sample(acting: Acting, { n, seed, ...wanted }: SampleQueryDto): Promise<SampleDto> {
    const { of } = wanted;
    const { all, from, to } = await this.drawnFrom(acting, wanted);
    const ids = all.map(({ id }) => id);
    const used = seed ?? randomBytes(8).toString('hex');
    const drawn = drawSample(ids, n, used);
    const populationHash = sha256(ids.join('\n'));
    const draw = { of, n, seed: used, from, to, method: SAMPLE_METHOD, population: ids.length, populationHash };
    await this.store.change(acting, 'record.sampled', (unit) => {
      unit.about('sample', used, draw);
      return Promise.resolve();
    });
    await this.looked(acting, 'GET /api/review/sample', `sample ${used}`, { from, to });
    const members = new Map(all.map((member) => [member.id, member]));
    return {
      from,
      to,
      of,
      seed: used,
      method: SAMPLE_METHOD,
      population: ids.length,
      populationHash,
      members: drawn.flatMap((id) => members.get(id) ?? []),
    };
  }

  /** Everything that a sample is drawn from, one row each, in the order of the ids. */
  async populationCsv(acting: Acting, wanted: PopulationQueryDto): Promise<StreamableFile> {
    const { all, from, to } = await this.drawnFrom(acting, wanted);
    await this.looked(acting, 'GET /api/review/population.csv', wanted.of, { from, to });
    const rows = all.map(({ id, at, kind, what }) => [id, at, kind, what]);
    return csvFile(
      'population',
      ['id', 'at', 'kind', 'what'],
      pagesOf(async () => ({ items: rows, next: null })),
    );
  }

  private async drawnFrom(acting: Acting, { of, ...period }: PopulationQueryDto) {
    const asking = await this.questions.asking(acting, period);
    checkArea(acting.review ?? null, of === 'lots' ? 'stock' : 'bench work');
    if (of === 'lots' && asking.protocols !== null) {
      throw new Refusal(
        'forbidden',
        'outside-review',
        'Lots belong to no protocol; draw of runs, releases or control readings.',
      );
    }
    const all = await this.store.read(acting.laboratoryId, (view) => populationOf(view, of, asking));
    return { all: all.sort((a, b) => (a.id < b.id ? -1 : 1)), from: asking.from, to: asking.to };
  }

  /** Signatures that a director may give, against when the signer held a role that may. */
  async signatures(acting: Acting, period: PeriodDto): Promise<SignaturesDto> {
    const asking = await this.questions.asking(acting, period);
    checkArea(acting.review ?? null, 'people');
    if (asking.protocols !== null) {
      throw new Refusal('forbidden', 'outside-review', 'Signatures are shown for all protocols together only.');
    }
    const { from, to } = asking;
    await this.looked(acting, 'GET /api/review/signatures', 'signatures', { from, to });
    return this.store.read(acting.laboratoryId, async (view) => {
      const given = await rolesGiven(view);
      const names = await namesOf(view, [...given.keys()]);
      const signatures = (await signaturesBetween(view, asking)).filter(({ needs }) => needs.includes('director'));
      const outside = signatures.filter(({ authorised }) => !authorised);
      const inside = signatures.filter(({ authorised }) => authorised).reverse();
      return {
        from,
        to,
        tenures: [...given].flatMap(([personId, roles]) =>
          tenures(roles, 'director').map((span) => ({ personId, name: names[personId] ?? personId, ...span })),
        ),
        total: signatures.length,
        outside: outside.length,
        signatures: [...outside, ...inside]
          .slice(0, MOST_SIGNATURES)
          .map((each) => ({ ...each, needs: [...each.needs], held: [...each.held] })),
      };
    });
  }

  private looked(acting: Acting, asked: string, about: string, period: { from: string; to: string }): Promise<void> {
    return this.reviewing.looked(acting, asked, { kind: 'question', about, period });
  }
}

async function counted(view: View, requirement: Known, proving: Proving): Promise<RequirementDto> {
  const { id, clause, asks, records: proof, gap, source } = requirement;
  const { records, gaps } = await proofCounts(view, PROOFS[id], proving);
  return { id, clause, asks, proof, gap, source, state: proofState(records, gaps), records, gaps };
}

/** Whether the records that prove it lie within what a reviewer was granted. */
function mayAsk({ review }: Acting, { area, byProtocol }: Known): boolean {
  if (!review) return true;
  if (review.protocols !== null && !byProtocol) return false;
  return review.areas === null || review.areas.includes(area);
}

function placeIn(after: string): { at: string; id: string } {
  const space = after.indexOf(' ');
  return { at: after.slice(0, space), id: after.slice(space + 1) };
}
