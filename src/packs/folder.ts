import { join } from 'node:path';

/** Packs lie in a folder among the kept files, which all processes share; a name there is no name of a kept file. */
export function packsIn(filesDir: string): string {
  return join(filesDir, 'packs');
}

/** The zip file of a pack. */
export function zipPath(filesDir: string, packId: string): string {
  return join(packsIn(filesDir), `${packId}.zip`);
}

/** The folder in which a pack is being made; gone when it is made. */
export function stagingPath(filesDir: string, packId: string): string {
  return join(packsIn(filesDir), `${packId}.making`);
}
