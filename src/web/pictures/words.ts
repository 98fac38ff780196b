import type { ExposurePart } from '../../core/stain-image/taken.js';

export const PICTURES = {
  title: 'Pictures of controls',
  about:
    'A picture of a control, measured. It measures the stain, never the patient: figures compare only with pictures of the same control, by the same camera at the same exposure.',
  measure: 'Measure a picture',
  empty: 'No picture measured yet',
  emptyHelp:
    'Choose a photomicrograph of a control. You get the optical density of each stain, or for fluorescence how nuclei stand out, and how sharp, saturated and even the picture is. A series that asks for one of these figures is charted with it.',
  more: 'Show more',
  states: { waiting: 'waits', 'under way': 'is being measured', measured: 'measured', refused: 'cannot be measured' },
  done: (share: number) => `${Math.round(share * 100)} %`,
  size: (width: number, height: number) => `${width} by ${height} pixels`,
  kinds: { brightfield: 'Brightfield', fluorescence: 'Fluorescence' },
  figure: 'Figure',
  value: 'Value',
  nothing: '–',
  series: 'for a series of numbers',
  reading: 'for a reading of a control',
  run: 'for a run',
  metrics: {
    'signal-to-background': 'Nuclear signal to background',
    signal: 'Nuclear signal, share of full',
    background: 'Background, share of full',
    'nuclear-area': 'Area of nuclei',
    saturated: 'Saturated pixels',
    focus: 'Focus (variance of the Laplacian)',
    evenness: 'Evenness of the field',
  } as Record<string, string>,
  ofStain: {
    mean: 'mean optical density',
    median: 'median optical density',
    p95: '95th percentile of optical density',
    area: 'area above 0.15',
  } as Record<string, string>,
  sheet: {
    title: 'Measure a picture of a control',
    picture: 'Picture',
    field: 'Empty field at the same exposure',
    fieldHelp: 'It may be left out. With it, white and shading are taken from the field, not guessed.',
    kind: 'How it was lit',
    kinds: {
      brightfield: { name: 'Brightfield', more: 'Light through a stained slide' },
      fluorescence: { name: 'Fluorescence', more: 'Light that the dye gives off' },
    },
    stains: 'Stains on the slide',
    stainSets: {
      'dab-haematoxylin': 'DAB and haematoxylin',
      'haematoxylin-eosin': 'Haematoxylin and eosin',
      all: 'Haematoxylin, eosin and DAB',
    },
    stainsHelp: 'Vectors of Ruifrok and Johnston 2001. What two stains leave is told as the rest.',
    colour: 'Colour that the dye glows in',
    colours: { red: 'red', green: 'green', blue: 'blue' },
    dark: 'Value of the camera in the dark',
    darkHelp: '0 when you do not know it.',
    series: 'Series of numbers that it belongs to',
    seriesHelp: 'Its figure is added to that chart. Only series that ask for a figure of such a picture are listed.',
    noSeries: 'None: measure it alone',
    ofSeries: (title: string, level: string, metric: string) => `${title}, ${level}: ${metric}`,
    action: 'Measure it',
    sent: 'The picture is being measured',
    notNumber: 'Give a number of 0 or more. No mark for thousands.',
  },
  exposure: {
    title: 'How it was taken',
    help: 'What you know. Pictures compare only at the same exposure; this device keeps what you write for the next one.',
    parts: {
      exposureMs: 'Exposure in milliseconds',
      gain: 'Gain',
      objective: 'Objective',
      camera: 'Camera',
      lamp: 'Lamp or filter',
    } satisfies Record<ExposurePart, string>,
    gainOf: (gain: number) => `gain ${gain}`,
    notNumber: 'Give a number of 0 or more. No mark for thousands.',
  },
  ofRun: {
    title: (label: string) => `Picture of ${label}`,
    titleAt: (step: string) => `Picture at “${step}”`,
    of: 'What it shows',
    picture: 'Picture',
    keep: 'Keep it with the run',
    kept: 'The picture is kept with the run',
    neverMeasured: 'It is kept to be looked at beside the control. It is never measured: only controls are.',
  },
  outline: {
    show: {
      'nuclear-area': 'Show the outline of the nuclei that were counted',
      'haematoxylin.area': 'Show the outline of what was counted as stained by haematoxylin',
    } as Record<string, string>,
    help: 'Drawn by the program that measured it, from the same parting of the pixels. A white line on a black one.',
    alt: (metric: string, name: string) => `What counts for “${metric}” in ${name}, outlined`,
    notShown: (name: string) => `Browsers show no TIFF: the outline stands alone. Open ${name}`,
  },
} as const;

/** A metric's name in words: 'dab.mean' is 'dab: mean optical density'. */
export function metricWords(metric: string): string {
  const [stain, what] = metric.split('.');
  if (what === undefined) return PICTURES.metrics[metric] ?? metric;
  return `${stain}: ${PICTURES.ofStain[what] ?? what}`;
}
