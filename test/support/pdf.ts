import { execFileSync } from 'node:child_process';
import { mkdtempSync, rmSync, writeFileSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { join } from 'node:path';

/** The words of each page of a PDF, by a reader of its own; runs of spaces as one. */
export function pagesOf(pdftotext: string, pdf: Buffer): string[] {
  const folder = mkdtempSync(join(tmpdir(), 'pdf-'));
  try {
    const file = join(folder, 'report.pdf');
    writeFileSync(file, pdf);
    const text = execFileSync(pdftotext, ['-layout', file, '-'], { encoding: 'utf8' });
    return text
      .split('\f')
      .slice(0, -1)
      .map((page) => page.replace(/ +/g, ' '));
  } finally {
    rmSync(folder, { recursive: true });
  }
}
