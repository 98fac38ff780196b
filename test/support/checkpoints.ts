import { join } from 'node:path';
import type { CheckpointPlaces } from '../../src/config.js';

/** Where the program would keep checkpoints and keys with this data folder. */
export function placesIn(folder: string): CheckpointPlaces {
  return {
    keyFile: join(folder, 'keys', 'checkpoint.pem'),
    publicKeys: join(folder, 'keys', 'public'),
    folder: join(folder, 'checkpoints'),
  };
}
