import type { Answer, Client } from './app.js';

/** Sends a file as the body itself. */
export async function upload<T>(
  client: Client,
  name: string,
  content: Uint8Array,
  headers: Record<string, string> = {},
): Promise<Answer<T>> {
  const answer = await fetch(`${client.url}/api/files?name=${encodeURIComponent(name)}`, {
    method: 'POST',
    headers: { 'content-type': 'application/octet-stream', ...client.headers, ...headers },
    body: new Uint8Array(content),
  });
  return { status: answer.status, headers: answer.headers, body: (await answer.json()) as T };
}
