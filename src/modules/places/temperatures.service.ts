import { counted } from '../../core/counted.js';
import type { Readable } from 'node:stream';
import { Injectable } from '@nestjs/common';
import { CsvError, parse } from 'csv-parse/sync';
import { Clock } from '../../clock.js';
import type { NewTemperatureDto, RecordedTemperaturesDto, TemperatureImportDto } from '../../contract/places.dto.js';
import { readUtf8 } from '../../core/file/utf8.js';
import { sha256 } from '../../core/record/record.js';
import { Refusal } from '../../core/refusal.js';
import type { Reading } from '../../core/storage/excursion.js';
import { celsiusOf, isOutside } from '../../core/storage/place.js';
import { readTemperatureRows } from '../../core/storage/temperature-file.js';
import { readInstant } from '../../core/time/instant.js';
import { type Recorded, recordTemperatures } from '../../store/acts/record-temperatures.js';
import { needLaboratory } from '../../store/questions/laboratories.js';
import { needPlace, readingsFrom } from '../../store/questions/places.js';
import { Store } from '../../store/store.js';
import type { Unit } from '../../store/unit.js';
import { type Acting, onceOf } from '../http/access.js';

/** A file of as many readings as are taken at once, with room to spare. */
const LARGEST_FILE = 8 * 1024 * 1024;

@Injectable()
export class TemperaturesService {
  constructor(
    private readonly store: Store,
    private readonly clock: Clock,
  ) {}

  async record(acting: Acting, code: string, body: NewTemperatureDto, key?: string): Promise<RecordedTemperaturesDto> {
    const celsius = celsiusOf(body, 'value');
    const write = async (unit: Unit): Promise<Recorded> => {
      const place = await needPlace(unit, code, null);
      const at = body.at === undefined ? unit.at : readInstant(body.at);
      const refused = (kind: 'invalid' | 'conflict', name: string, message: string) =>
        new Refusal(kind, name, message, [{ at: 'at', message }]);
      if (at > unit.at) throw refused('invalid', 'future', `${at} lies in the future; it is ${unit.at} now.`);
      const known = (await readingsFrom(unit, code, at)).find((each) => each.at === at);
      if (known) {
        throw refused(
          'conflict',
          'read-already',
          `${place.name} has the reading ${known.celsius} °C of ${at} already.`,
        );
      }
      const recorded = await recordTemperatures(unit, place, [{ at, celsius }], 'by hand');
      unit.about('place', code, { at, celsius, excursions: recorded.excursions, held: recorded.held });
      return recorded;
    };
    const once = onceOf(key, { code, ...body });
    const { excursions, held } = await this.store.change(acting, 'temperature.read', write, once);
    return { taken: 1, excursions, held };
  }

  async importFile(
    acting: Acting,
    code: string,
    body: Readable,
    dryRun: boolean,
    key?: string,
  ): Promise<TemperatureImportDto> {
    const text = readUtf8(await wholeFile(body));
    const rows = rowsOf(text);
    if (dryRun) {
      return this.store.read(acting.laboratoryId, async (view) => {
        const place = await needPlace(view, code, null);
        const { zone } = await needLaboratory(view);
        const known = await readingsFrom(view, code, '');
        const file = readTemperatureRows(rows, { zone, now: this.clock.now(), known });
        return { ...summaryOf(file, place), dryRun, taken: 0, excursions: [], held: 0 };
      });
    }
    const write = async (unit: Unit): Promise<TemperatureImportDto> => {
      const place = await needPlace(unit, code, null);
      const { zone } = await needLaboratory(unit);
      const file = readTemperatureRows(rows, { zone, now: unit.at, known: await readingsFrom(unit, code, '') });
      const { readings, problems } = file;
      if (problems.length > 0) {
        const count = counted(problems.length, 'row of it is', 'rows of it are');
        throw new Refusal('invalid', 'bad-rows', `Nothing of the file was taken: ${count} wrong.`, problems);
      }
      const [first, ...others] = readings;
      if (!first) {
        const message = 'Every reading of the file is known already; nothing was taken twice.';
        throw new Refusal('conflict', 'nothing-new', message);
      }
      const { excursions, held } = await recordTemperatures(unit, place, [first, ...others], 'import');
      unit.about('place', code, { taken: readings.length, sha256: sha256(text), excursions, held });
      return { ...summaryOf(file, place), dryRun, taken: readings.length, excursions, held };
    };
    return this.store.change(acting, 'temperature.imported', write, onceOf(key, { code, sha256: sha256(text) }));
  }
}

function summaryOf(
  { readings, repeated, problems }: ReturnType<typeof readTemperatureRows>,
  place: { min: number | null; max: number | null },
): Pick<TemperatureImportDto, 'rows' | 'repeated' | 'problems' | 'outside' | 'from' | 'until'> {
  return {
    rows: readings.length,
    repeated,
    problems,
    outside: readings.filter(({ celsius }: Reading) => isOutside(celsius, place)).length,
    from: readings.at(0)?.at ?? null,
    until: readings.at(-1)?.at ?? null,
  };
}

async function wholeFile(body: Readable): Promise<Buffer> {
  const parts: Buffer[] = [];
  let size = 0;
  for await (const part of body as AsyncIterable<Buffer>) {
    size += part.length;
    if (size > LARGEST_FILE) {
      throw new Refusal(
        'invalid',
        'too-large',
        `The file is larger than ${LARGEST_FILE / 1024 / 1024} MiB; split it and send the parts one after the other.`,
      );
    }
    parts.push(part);
  }
  return Buffer.concat(parts);
}

/** The rows of a comma, semicolon or tab separated file; a spreadsheet chooses by its language. */
function rowsOf(text: string): string[][] {
  const [head = ''] = text.split('\n', 1);
  const delimiter = [',', ';', '\t'].find((each) => head.includes(each)) ?? ',';
  try {
    return parse(text, { delimiter, relax_column_count: true, skip_empty_lines: true }) as string[][];
  } catch (error) {
    if (!(error instanceof CsvError)) throw error;
    const message = `The file cannot be read as CSV: ${error.message}.`;
    throw new Refusal('invalid', 'bad-csv', message, [{ at: '', message }]);
  }
}
