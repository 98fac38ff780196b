export const CAMERA = {
  open: 'Use the camera',
  openFor: (label: string) => `Use the camera: ${label}`,
  title: 'Hold the code before the camera',
  state: {
    starting: 'Starting the camera…',
    looking: 'Looking for a code…',
    none: 'This device has no camera that the page may use.',
    refused:
      'The browser keeps the camera from this page. Allow it beside the address, or take a photograph and choose it here.',
  },
  view: 'What the camera sees',
  light: 'Light',
  file: 'Read it from a photograph',
  noCode: 'No code could be read in that photograph. Take it from nearer, sharp and without glare.',
  noReader: 'What reads codes could not be fetched. Scan by hand or type the label.',
} as const;
