import { expect, it } from '@jest/globals';
import { publishedPlan } from '../../../src/core/controls/plan.js';
import { controlFindings } from '../../../src/core/gate/controls.js';
import type { RunFacts } from '../../../src/core/gate/facts.js';
import type { Finding } from '../../../src/core/gate/finding.js';
import { judge } from '../../../src/core/gate/judge.js';
import { withReagentNames } from '../../../src/core/gate/reagent-words.js';
import { tissueFindings } from '../../../src/core/gate/tissue.js';
import { runState } from '../../../src/core/run/state.js';
import { bedside, container, patientSubject, Scribe, shipped, shippedReagents } from '../../support/bedside.js';

const reagents = shippedReagents();
const told = (found: readonly Finding[], rule: string): string[] =>
  found
    .filter((each) => each.rule === rule)
    .flatMap(({ what, measured, against }) => [what, measured ?? '', against ?? ''])
    .map((text) => withReagentNames(text, reagents));

/** Harris H&E without any control, the bottle of one reagent holding another. */
function wrongBottle(): RunFacts {
  const protocol = shipped('he-harris-regressive');
  const scribe = new Scribe(protocol);
  scribe.tray();
  scribe.steps();
  const codes = [...new Set(protocol.steps.flatMap(({ reagent }) => reagent ?? []))];
  const containers = codes.map((code) =>
    code === 'harris-haematoxylin' ? { ...container('bouin-fluid'), id: container(code).id } : container(code),
  );
  const facts = bedside();
  const controls = { ...facts.controls, plan: publishedPlan(protocol) };
  return { ...facts, protocol, events: scribe.events, containers, controls };
}

it('names the reagents where the gate says their codes, and leaves codes that the catalogue does not have', () => {
  const facts = wrongBottle();
  const findings = judge(facts).subjects.flatMap(({ points }) => points.flatMap((point) => point.findings));
  expect(told(findings, 'wrong-reagent')[0]).toContain("holds Bouin's fluid; the step wants Harris haematoxylin.");
  const due = controlFindings(facts, runState(facts.protocol, facts.events));
  expect(told(due, 'control-missing')[0]).toMatch(/lot QUILL-eosin-y-alcoholic of Eosin Y, alcoholic/);
  const ihc = bedside(undefined, { protocol: shipped('ihc-dab') });
  const breast = patientSubject('s', { tissueTest: 'breast receptors' });
  const other = tissueFindings({ ...breast, tissue: { ...breast.tissue, fixative: 'bouin-fluid' } }, ihc);
  expect(told(other, 'fixative-other')).toEqual([
    expect.stringContaining("was fixed in Bouin's fluid."),
    "Bouin's fluid",
    '10 % neutral buffered formalin',
  ]);
  expect(withReagentNames('lot N-1 of own-mixture, lot N-2 of xylene (A)', reagents)).toBe(
    'lot N-1 of own-mixture, lot N-2 of Xylene (A)',
  );
});
