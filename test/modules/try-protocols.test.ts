import { it } from '@jest/globals';
import { readFolder } from '../../src/modules/protocols/read-file.js';
it('loads', async () => {
  const read = await readFolder('protocols');
  if ('problems' in read) console.log(read.problems.slice(0, 20).map((p) => `${p.file}:${p.line}:${p.column} ${p.path.join('/')} ${p.message}`).join('\n'));
  else console.log(read.protocols.map((p) => p.id));
});
