import { Injectable } from '@nestjs/common';
import type {
  MeasuringDto,
  NewPictureDto,
  PictureDto,
  PictureListDto,
  PictureQueryDto,
} from '../../contract/pictures.dto.js';
import { Refusal } from '../../core/refusal.js';
import { RUIFROK_JOHNSTON, type StainVector, threeStains } from '../../core/stain-image/deconvolution.js';
import type { Measuring } from '../../core/stain-image/measure.js';
import { takePicture } from '../../store/acts/take-picture.js';
import { type KnownPicture, knownPictures, picturesBefore } from '../../store/questions/pictures.js';
import { PictureRow } from '../../store/rows/pictures.entity.js';
import { Store } from '../../store/store.js';
import { type Acting, onceOf } from '../http/access.js';

@Injectable()
export class PicturesService {
  constructor(private readonly store: Store) {}

  async take(acting: Acting, body: NewPictureDto, key?: string): Promise<PictureDto> {
    const { fileId, fieldFileId, subject, exposure } = body;
    const measuring = measuringOf(body.measuring);
    const id = await this.store.change(
      acting,
      'picture.taken',
      async (unit) => {
        const picture = await takePicture(unit, {
          fileId,
          measuring,
          exposure: { ...exposure },
          ...(fieldFileId !== undefined && { fieldFileId }),
          ...(subject && { subject: { ...subject } }),
        });
        unit.about('picture', picture.id, { file: fileId, kind: measuring.kind });
        return picture.id;
      },
      onceOf(key, body),
    );
    return this.picture(acting, id);
  }

  async picture({ laboratoryId }: Acting, id: string): Promise<PictureDto> {
    const [known] = await this.store.read(laboratoryId, async (view) =>
      knownPictures(view, [await view.need(PictureRow, { id }, `picture ${id}`)]),
    );
    if (!known) throw new Error(`the file of picture ${id} is gone`);
    return pictureView(known);
  }

  async list({ laboratoryId }: Acting, query: PictureQueryDto): Promise<PictureListDto> {
    const known = await this.store.read(laboratoryId, async (view) =>
      knownPictures(view, await picturesBefore(view, query)),
    );
    return {
      items: known.map(pictureView),
      next: known.length === query.take ? (known.at(-1)?.row.id ?? null) : null,
    };
  }
}

const COLOURS = { red: 0, green: 1, blue: 2 } as const;

function measuringOf({ kind, stains, colour, darkOffset }: MeasuringDto): Measuring {
  const surplus = (name: string, at: string): Refusal => {
    const message = `${name} says nothing of a ${kind} picture; leave it out.`;
    return new Refusal('invalid', 'other-kind', message, [{ at: `measuring.${at}`, message }]);
  };
  if (kind === 'brightfield') {
    if (colour !== undefined) throw surplus('The colour of a dye', 'colour');
    if (darkOffset !== undefined) throw surplus('A dark offset', 'darkOffset');
    if (!stains) return { kind, stains: RUIFROK_JOHNSTON };
    return { kind, stains: threeStains(stains.map(({ name, vector }) => ({ name, vector: vector as StainVector }))) };
  }
  if (stains) throw surplus('A list of stains', 'stains');
  return { kind, band: COLOURS[colour ?? 'green'], darkOffset: darkOffset ?? 0 };
}

function pictureView({ row, file, measurement, progress, outline }: KnownPicture): PictureDto {
  const { id, fieldFileId, subjectKind, subjectId, requirement, measuring, exposure, at, personId } = row;
  return {
    id,
    file: { id: file.id, name: file.name, mediaType: file.mediaType, bytes: file.bytes, sha256: file.sha256 },
    fieldFileId,
    subject:
      subjectKind === null || subjectId === null
        ? null
        : { kind: subjectKind, id: subjectId, ...(requirement !== null && { requirement }) },
    kind: measuring.kind,
    measuring,
    exposure,
    at,
    personId,
    state: stateOf({ measurement, progress }),
    progress,
    remarks: measurement?.remarks ?? [],
    ...(measurement && {
      measuredAt: measurement.at,
      ...(measurement.metrics && { metrics: measurement.metrics }),
      ...(measurement.refused !== null && { refused: measurement.refused }),
      ...(measurement.width !== null && { width: measurement.width }),
      ...(measurement.height !== null && { height: measurement.height }),
    }),
    ...(outline && { outline: { fileId: outline.fileId, metric: outline.metric } }),
  };
}

function stateOf({ measurement, progress }: Pick<KnownPicture, 'measurement' | 'progress'>): PictureDto['state'] {
  if (measurement) return measurement.refused === null ? 'measured' : 'refused';
  return progress === null ? 'waiting' : 'under way';
}
