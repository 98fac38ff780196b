import type { Instant } from '../time/instant.js';
import { wallTime } from '../time/zone.js';
import type { KindCount, Manifest } from './manifest.js';
import { isLimited } from './pack.js';

/** Rows that stand out, beside the number of all that could. */
export interface Standing {
  title: string;
  count: number;
  of: number;
}

/** A kind of record under its heading. */
export interface ListedKind extends KindCount {
  area: string;
  title: string;
}

/** What the page tells, beside what the manifest says. */
export interface Listed {
  kinds: ListedKind[];
  standing: Standing[];
  /** Names of the files that are for reading. */
  protocols: string[];
  pictures: string[];
  reports: string[];
}

const STYLE = `:root{color-scheme:light dark}body{font:1rem/1.5 system-ui,sans-serif;max-width:62rem;margin:2rem auto;padding:0 1rem}
table{border-collapse:collapse;width:100%;margin:.5rem 0 1.5rem}th,td{text-align:left;vertical-align:top;padding:.3rem .8rem .3rem 0;border-bottom:1px solid color-mix(in srgb,currentColor 25%,transparent)}
table{table-layout:fixed}thead th:first-child{width:65%}tbody th:first-child:not(:only-child){font-weight:400}td.n,th.n{text-align:right;font-variant-numeric:tabular-nums;white-space:nowrap}thead th{font-weight:600}code{overflow-wrap:anywhere}.none{font-style:italic}
@media print{body{margin:0;max-width:none}}`;

/** `index.html`: what a pack holds and how it is checked; plain HTML without scripts. */
export function indexPage(manifest: Omit<Manifest, 'files'>, listed: Listed): string {
  const { laboratory, scope, madeAt } = manifest;
  const days = scope.from === scope.to ? scope.from : `${scope.from} to ${scope.to}`;
  const title = `Evidence pack: ${laboratory.name}, ${days}`;
  return `<!doctype html>
<html lang="en">
<head>
<meta charset="utf-8">
<meta name="viewport" content="width=device-width, initial-scale=1">
<title>${escaped(title)}</title>
<style>${STYLE}</style>
</head>
<body>
<main>
<h1>${escaped(title)}</h1>
<p>Records of bench work as they were written, with what is needed to check that nothing was changed. They inform; they make
no diagnosis and replace neither local procedure nor licensed judgement.</p>
${scopeTable(manifest)}
<h2>What stands out, beside how many there were</h2>
${standingTable(listed.standing)}
<h2>Records</h2>
<p>Each kind as JSON Lines, which the chain pins line by line, and as CSV for counting. Counts include older records on which
those of the period rest.</p>
${kindTables(listed.kinds)}
${files('Protocols as they were', listed.protocols, 'No revision of a protocol existed by the end of the period.')}
${files('Reports of runs', listed.reports, 'No report was asked for.')}
${files('Pictures of runs', listed.pictures, 'No picture was asked for, or the runs that were asked for have none.')}
${missing(manifest.missing)}
${checking(manifest)}
</main>
<footer><p>Made ${when(madeAt, laboratory.zone)} by ${escaped(manifest.program.name)} ${escaped(manifest.program.version)}, rules ${escaped(manifest.program.rules)}.</p></footer>
</body>
</html>
`;
}

const MASKING = {
  'left out': 'Left out: neither values nor pseudonyms.',
  masked: 'Masked: equal identifiers have equal pseudonyms within this pack. Values and free words are not in it.',
  included: 'Included, with free words. Handle this pack as patient records.',
} as const;

function scopeTable({ scope, laboratory, askedBy, askedAt, period, chain, pack }: Omit<Manifest, 'files'>): string {
  const { only } = scope;
  const limits = [
    ['protocols', only.protocols],
    ['people', only.people],
    ['lots', only.lots],
    ['runs', only.runs],
  ] as const;
  const limited = limits.flatMap(([of, ids]) => (ids.length === 0 ? [] : [`${of} ${ids.join(', ')}`]));
  return pairs([
    ['Laboratory', `${laboratory.name} (${laboratory.id})`],
    ['Period', `${scope.from} to ${scope.to}, both days included, in ${laboratory.zone}`],
    ['Entries of the record', `${period.first} to ${period.last}`],
    ['Runs', isLimited(only) ? `Limited to ${limited.join('; ')}. What these rest on is whole.` : 'All of the period.'],
    ["Patients' identifiers", MASKING[scope.identifiers]],
    ['Asked for', `by ${askedBy ?? 'the command line'}, ${when(askedAt, laboratory.zone)}`],
    ['Chain', `entries ${chain.first} to ${chain.last}; the record ended with entry ${chain.head.seq} then`],
    ['Pack', pack],
  ]);
}

function standingTable(standing: readonly Standing[]): string {
  const rows = standing.map(({ title, count, of }) =>
    of === 0
      ? `<tr><th scope="row">${escaped(title)}</th><td class="none" colspan="2">no record exists</td></tr>`
      : `<tr><th scope="row">${escaped(title)}</th><td class="n">${count}</td><td class="n">${of}</td></tr>`,
  );
  return `<table><thead><tr><th scope="col">What</th><th scope="col" class="n">Number</th><th scope="col" class="n">Of</th></tr></thead><tbody>
${rows.join('\n')}
</tbody></table>`;
}

function kindTables(kinds: readonly ListedKind[]): string {
  const areas = [...new Set(kinds.map(({ area }) => area))];
  return areas
    .map((area) => {
      const own = kinds.filter((kind) => kind.area === area);
      const rows = own.map(({ name, title, rows: count }) => {
        const data = `<a href="data/${name}.jsonl">JSON Lines</a>, <a href="data/${name}.csv">CSV</a>`;
        return `<tr><th scope="row">${escaped(title)}</th>${count === 0 ? '<td class="none" colspan="2">no record exists</td>' : `<td class="n">${count}</td><td>${data}</td>`}</tr>`;
      });
      return `<h3>${escaped(area)}</h3>
<table><thead><tr><th scope="col">Kind</th><th scope="col" class="n">Number</th><th scope="col">Files</th></tr></thead><tbody>
${rows.join('\n')}
</tbody></table>`;
    })
    .join('\n');
}

function files(title: string, names: readonly string[], none: string): string {
  const items = names.map(
    (name) => `<li><a href="${escaped(encodeURI(name))}">${escaped(name.replace(/^\w+\//, ''))}</a></li>`,
  );
  return `<h2>${escaped(title)}</h2>
${items.length === 0 ? `<p class="none">${escaped(none)}</p>` : `<ul>${items.join('\n')}</ul>`}`;
}

function missing(sentences: readonly string[]): string {
  if (sentences.length === 0) return '';
  return `<h2>What should be here and is not</h2>\n<ul>${sentences.map((each) => `<li>${escaped(each)}</li>`).join('\n')}</ul>`;
}

function checking({ laboratory, chain }: Omit<Manifest, 'files'>): string {
  return `<h2>How to check this pack</h2>
<ol>
<li><a href="manifest.json">manifest.json</a> has the size and SHA-256 of every file; <code>sha256sum</code> makes the same.</li>
<li><a href="manifest.seal.json">manifest.seal.json</a> signs the manifest. Take the public key from where the laboratory left it
before, not from this pack.</li>
<li><a href="chain/entries.jsonl">chain/entries.jsonl</a> are the entries ${chain.first} to ${chain.last} of the record of
${escaped(laboratory.id)}; each hash follows from the one before, and each names the SHA-256 of the records that its act wrote.</li>
<li><a href="chain/checkpoints.jsonl">chain/checkpoints.jsonl</a> are signed statements of how far the record went; compare them
with copies that were kept elsewhere.</li>
</ol>
<p><a href="FORMAT.md">FORMAT.md</a> describes all of it on one page, with commands.</p>`;
}

function pairs(rows: readonly (readonly [string, string])[]): string {
  return `<table><tbody>${rows.map(([name, value]) => `<tr><th scope="row">${escaped(name)}</th><td>${escaped(value)}</td></tr>`).join('\n')}</tbody></table>`;
}

function when(at: Instant, zone: string): string {
  return escaped(`${wallTime(at, zone)} (${at})`);
}

const ENTITIES: Record<string, string> = { '&': '&amp;', '<': '&lt;', '>': '&gt;', '"': '&quot;', "'": '&#39;' };

function escaped(text: string): string {
  return text.replaceAll(/[&<>"']/g, (each) => ENTITIES[each] ?? each);
}
