import { credentials, Problem } from '../api.js';
import type { KeptFile } from '../api.paths.js';
import { newId } from './ids.js';

/** The address of a kept file's content. */
export function fileAddress(id: string): string {
  return `/api/files/${encodeURIComponent(id)}`;
}

/**
 * Sends a file as it is and answers what was kept; `told` hears the share sent, which only this older way of asking tells. Throws a
 * Problem.
 */
export function sendFile(file: File, told: (share: number) => void): Promise<KeptFile> {
  const request = new XMLHttpRequest();
  request.open('POST', `/api/files?name=${encodeURIComponent(file.name || 'picture')}`);
  request.responseType = 'json';
  request.setRequestHeader('Content-Type', 'application/octet-stream');
  request.setRequestHeader('Idempotency-Key', newId());
  if (credentials.csrf !== null) request.setRequestHeader('X-CSRF-Token', credentials.csrf);
  return new Promise((resolve, reject) => {
    request.upload.onprogress = ({ loaded, total }) => told(total > 0 ? loaded / total : 0);
    request.onerror = () =>
      reject(new Problem(0, 'no-answer', 'No answer from the server', 'The network or the server is away.'));
    request.onload = () => {
      if (request.status === 201) {
        resolve(request.response as KeptFile);
        return;
      }
      const said = (request.response ?? {}) as Partial<Problem>;
      const title = said.title ?? `The server answered ${request.status}`;
      const detail = said.detail ?? 'It gave no reason; try again.';
      reject(new Problem(request.status, said.code ?? `http-${request.status}`, title, detail, said.problems ?? []));
    };
    request.send(file);
  });
}
