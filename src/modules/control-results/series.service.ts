import { Injectable } from '@nestjs/common';
import { Clock } from '../../clock.js';
import type {
  AddedValuesDto,
  EvaluationDto,
  EvaluationQueryDto,
  LimitsProposalDto,
  LimitsQueryDto,
  NewLimitsDto,
  NewMarkDto,
  NewRulesDto,
  NewSeriesDto,
  NewValuesDto,
  SeriesDto,
  SeriesHistoryDto,
  SeriesListDto,
} from '../../contract/control-series.dto.js';
import { chartedLevel } from '../../core/controls/charted.js';
import { type ComputedLimits, computedLimits } from '../../core/controls/new-limits.js';
import { averageChart, levelChart, sumChart } from '../../core/controls/picture.js';
import type { RuleWeights } from '../../core/controls/rules.js';
import type { LimitsPoints } from '../../core/controls/series.js';
import { svgPicture } from '../../core/controls/svg.js';
import { unitOf } from '../../core/protocol/units.js';
import { convert } from '../../core/recipe/quantity.js';
import { signatureOf } from '../../core/record/signature.js';
import { Refusal } from '../../core/refusal.js';
import { localDay } from '../../core/time/zone.js';
import { addControlValues } from '../../store/acts/add-control-value.js';
import { evaluated, seriesView } from '../../store/questions/control-evaluation.js';
import {
  allSeries,
  evaluateAll,
  limitsValues,
  type SeriesGroup,
  seriesGroup,
} from '../../store/questions/control-series.js';
import { lastSeq } from '../../store/questions/entries.js';
import { needLaboratory } from '../../store/questions/laboratories.js';
import { knownPlans } from '../../store/questions/control-plans.js';
import { knownRevisions } from '../../store/questions/revisions.js';
import { LimitsRow, SeriesMarkRow, SeriesRow, SeriesRulesRow } from '../../store/rows/control-results.entity.js';
import { Store } from '../../store/store.js';
import type { View } from '../../store/view.js';
import { type Acting, onceOf } from '../http/access.js';
import { Signing } from '../http/signing.js';

@Injectable()
export class SeriesService {
  constructor(
    private readonly store: Store,
    private readonly clock: Clock,
    private readonly signing: Signing,
  ) {}

  list({ laboratoryId }: Acting): Promise<SeriesListDto> {
    return this.store.read(laboratoryId, async (view) => {
      const rows = await allSeries(view);
      const first = rows.filter(({ code }, n) => rows.findIndex((each) => each.code === code) === n);
      const items: SeriesDto[] = [];
      for (const { id } of first) items.push(seriesView(await seriesGroup(view, id)));
      return { items };
    });
  }

  view({ laboratoryId }: Acting, id: string): Promise<SeriesDto> {
    return this.store.read(laboratoryId, async (view) => seriesView(await seriesGroup(view, id)));
  }

  async create(acting: Acting, body: NewSeriesDto, key?: string): Promise<SeriesDto> {
    const id = await this.store.change(
      acting,
      'control-series.created',
      async (unit) => {
        checkUnit(body.unit);
        const { code, title, unit: ucum, protocolId = null, requirement = null, metric = null } = body;
        if (await unit.one(SeriesRow, { code })) {
          throw new Refusal(
            'conflict',
            'code-taken',
            `There is a series "${code}" already; give this one another code.`,
            [{ at: 'code', message: 'take another code' }],
          );
        }
        await checkControl(unit, protocolId, requirement);
        const rules = weightsOf(body.rules);
        const rows: SeriesRow[] = [];
        for (const level of body.levels) {
          rows.push(
            await unit.insert(SeriesRow, { code, level, title, unit: ucum, protocolId, requirement, metric, rules }),
          );
        }
        const first = rows[0]?.id ?? '';
        unit.about('control-series', first, { code, levels: body.levels });
        return first;
      },
      onceOf(key, body),
    );
    return this.view(acting, id);
  }

  /** Adds values that were measured together, each judged when all of them are there. */
  addValues(acting: Acting, id: string, body: NewValuesDto, key?: string): Promise<AddedValuesDto> {
    return this.store.change(
      acting,
      'control-series.measured',
      async (unit) => {
        const group = await seriesGroup(unit, id);
        const { at, runId, fileId, lots, reason } = body;
        const measured = body.values.map(({ level, value, unit: given }, n) => {
          const series = group.series.find((each) => each.level === level);
          if (!series) throw unknownLevel(group, level, n);
          const inUnit = given === undefined ? value : convert({ value, unit: given }, series.unit);
          return {
            seriesId: series.id,
            value: inUnit,
            ...(given !== undefined && given !== series.unit && { given: `${value} ${given}` }),
          };
        });
        const added = await addControlValues(unit, measured, {
          ...(at !== undefined && { at }),
          ...(runId !== undefined && { runId }),
          ...(fileId !== undefined && { fileId }),
          ...(lots !== undefined && { lots }),
          ...(reason !== undefined && { reason }),
        });
        unit.about('control-series', id, { values: added.map(({ value }) => value.id) });
        return {
          values: added.map(({ value, verdict, fired }) => ({
            id: value.id,
            level: group.series.find((each) => each.id === value.seriesId)?.level ?? '',
            value: value.value,
            verdict,
            fired,
          })),
        };
      },
      onceOf(key, { id, ...body }),
    );
  }

  async mark(acting: Acting, id: string, body: NewMarkDto, key?: string): Promise<SeriesDto> {
    await this.store.change(
      acting,
      'control-series.marked',
      async (unit) => {
        const { series } = await seriesGroup(unit, id);
        const { kind, at = unit.at, text } = body;
        if (at > unit.at) throw new Refusal('invalid', 'in-future', `${at} lies in the future; it is ${unit.at}.`);
        for (const each of series) {
          await unit.insert(SeriesMarkRow, { seriesId: each.id, kind, at, text, personId: unit.personId });
        }
        unit.about('control-series', id, { kind });
      },
      onceOf(key, { id, ...body }),
    );
    return this.view(acting, id);
  }

  async setRules(acting: Acting, id: string, body: NewRulesDto, key?: string): Promise<SeriesDto> {
    await this.store.change(
      acting,
      'control-series.rules-set',
      async (unit) => {
        const { series } = await seriesGroup(unit, id);
        const rules = weightsOf(body.rules);
        const { at, personId } = unit;
        for (const each of series) {
          await unit.insert(SeriesRulesRow, { seriesId: each.id, rules, reason: body.reason, at, personId });
        }
        unit.about('control-series', id, { rules });
      },
      onceOf(key, { id, ...body }),
    );
    return this.view(acting, id);
  }

  /** Limits as these values make them, before anybody signs. */
  propose({ laboratoryId }: Acting, id: string, query: LimitsQueryDto): Promise<LimitsProposalDto> {
    return this.store.read(laboratoryId, (view) => proposal(view, id, query, undefined));
  }

  /** The signed decision on limits, with the values they were computed from. */
  async setLimits(acting: Acting, id: string, body: NewLimitsDto, key?: string): Promise<SeriesDto> {
    const { password, ...wanted } = body;
    const signer = await this.signing.confirm(acting, password);
    await this.store.change(
      acting,
      'control-series.limits-set',
      async (unit) => {
        const { mean, sd, n, provisional, points } = await proposal(unit, id, body, unit.seq - 1);
        const { source, since, reason } = body;
        const record = { seriesId: id, source, since, mean, sd, n, provisional, points, reason };
        const signature = signatureOf(signer, 'approval', record, unit.at);
        await unit.insert(LimitsRow, { ...record, at: unit.at, signature });
        unit.about('control-series', id, { source, since, mean, sd });
      },
      onceOf(key, { id, ...wanted }),
    );
    return this.view(acting, id);
  }

  /** Values of a period with what the rules say of each batch. */
  evaluation({ laboratoryId }: Acting, id: string, query: EvaluationQueryDto): Promise<EvaluationDto> {
    return this.store.read(laboratoryId, (view) => evaluated(view, id, query, this.clock.now()));
  }

  /** A picture of each level's charts. */
  async chart(acting: Acting, id: string, query: EvaluationQueryDto): Promise<string> {
    const judged = await this.evaluation(acting, id, query);
    const { title, unit, levels } = judged.series;
    return svgPicture(
      title,
      levels.flatMap(({ level }) => {
        const { points, limits, marks } = chartedLevel(judged, level);
        return [
          { title: `${level} (${unit})`, drawing: levelChart(points, limits, marks) },
          { title: `${level}: EWMA of SD from the mean`, drawing: averageChart(points) },
          { title: `${level}: CUSUM of SD from the mean`, drawing: sumChart(points) },
        ];
      }),
    );
  }

  /** Every value judged anew. */
  history({ laboratoryId }: Acting, id: string): Promise<SeriesHistoryDto> {
    return this.store.read(laboratoryId, async (view) => historyOf(view, await seriesGroup(view, id)));
  }
}

async function historyOf(view: View, group: SeriesGroup): Promise<SeriesHistoryDto> {
  const history: SeriesHistoryDto = {
    values: 0,
    batches: 0,
    rejected: 0,
    warned: 0,
    byRule: {},
    firstAt: null,
    lastAt: null,
  };
  await evaluateAll(view, group, (points, judged) => {
    history.values += points.length;
    history.batches += 1;
    history.firstAt ??= points[0]?.at ?? null;
    history.lastAt = points[0]?.at ?? history.lastAt;
    if (!judged) return;
    if (judged.verdict === 'reject') history.rejected += 1;
    if (judged.verdict === 'warn') history.warned += 1;
    for (const { rule } of judged.fired) history.byRule[rule] = (history.byRule[rule] ?? 0) + 1;
  });
  return history;
}

async function proposal(
  view: View,
  id: string,
  { source, from, to, excluded = '' }: LimitsQueryDto,
  upToSeq: number | undefined,
): Promise<ComputedLimits & { points: LimitsPoints }> {
  const { limits } = await seriesGroup(view, id);
  const { zone } = await needLaboratory(view);
  const points: LimitsPoints = {
    seriesId: id,
    from,
    to,
    upToSeq: upToSeq ?? (await lastSeq(view)),
    excluded: excluded.split(',').filter((each) => each !== ''),
  };
  const values = await limitsValues(view, points);
  if (values.length === 0) {
    throw new Refusal('invalid', 'too-few', `No values were measured from ${from} to ${to}; limits need at least two.`);
  }
  const old = limits.findLast(({ seriesId }) => seriesId === id) ?? null;
  const dated = values.map(({ id: valueId, x, at }) => ({ id: valueId, x, day: localDay(at, zone) }));
  return { ...computedLimits(source, dated, old), points };
}

function weightsOf(rules: NewSeriesDto['rules']): RuleWeights {
  return Object.fromEntries(rules.map(({ rule, weight }) => [rule, weight]));
}

function checkUnit(unit: string): void {
  if (unitOf(unit)) return;
  const message = `"${unit}" is not a UCUM code; write one such as Cel, {ratio}, % or {score}.`;
  throw new Refusal('invalid', 'wrong-unit', message, [{ at: 'unit', message }]);
}

async function checkControl(view: View, protocolId: string | null, requirement: string | null): Promise<void> {
  if (protocolId === null && requirement === null) return;
  const both = 'Name both the protocol and its control requirement, or neither.';
  if (protocolId === null || requirement === null) {
    throw new Refusal('invalid', 'control-missing', both, [{ at: 'requirement', message: both }]);
  }
  const revisions = await knownRevisions(view, protocolId);
  if (revisions.length === 0) throw new Refusal('not-found', 'not-found', `There is no protocol "${protocolId}".`);
  const plans = await knownPlans(view, protocolId);
  const all = [...revisions, ...plans].flatMap(({ row }) => row.content.controls.map((control) => control.id));
  const ids = [...new Set(all)];
  if (ids.includes(requirement)) return;
  const message = `"${protocolId}" has no control "${requirement}"; it has ${ids.join(', ')}.`;
  throw new Refusal('invalid', 'no-such-control', message, [{ at: 'requirement', message }]);
}

function unknownLevel({ series }: SeriesGroup, level: string, n: number): Refusal {
  const message = `"${level}" is no level of this series; its levels are ${series.map((each) => each.level).join(', ')}.`;
  return new Refusal('invalid', 'unknown-level', message, [{ at: `values.${n}.level`, message }]);
}
