import { useQuery } from '@tanstack/react-query';
import { useState } from 'react';
import { WEIGHTS } from '../../core/gate/finding.js';
import { useParam, useText } from '../app/router.js';
import { useSession } from '../app/session.js';
import { api, got } from '../api.js';
import type { GateRule, PolicyRevision } from '../api.paths.js';
import { Button } from '../parts/Button.js';
import { Tick } from '../parts/Choice.js';
import { Finder } from '../parts/Finder.js';
import { Nothing, Page, Part, Tag, Waiting } from '../parts/Page.js';
import { SelectField } from '../parts/SelectField.js';
import { SignatureBlock } from '../parts/Signing.js';
import { benchClock } from '../parts/ticker.js';
import './policies.css';
import { PolicySheet } from './PolicySheet.js';
import { POLICIES as words } from './words.js';

const FRAMES = { stop: 'full', caution: 'double', note: 'soft', 'by step': 'plain' } as const;

/** The gate's rules as they count here, and the policy that makes some of them stricter. */
export default function RulesScreen() {
  const { may } = useSession();
  const [text, setText] = useText('text');
  const [weight, setWeight] = useParam('weight');
  const [tightened, setTightened] = useParam('tightened');
  const [signing, setSigning] = useState(false);
  const rules = useQuery({ queryKey: ['gate-rules'], queryFn: () => got(api.GET('/api/gate/rules')) });
  const policies = useQuery({ queryKey: ['policies'], queryFn: () => got(api.GET('/api/policies')) });
  const all = rules.data ?? [];
  const shown = all.filter(
    (rule) =>
      fits(rule, text) &&
      (weight === null || rule.counts === weight || rule.least === weight) &&
      (tightened === null || rule.tightened),
  );
  return (
    <Page
      title={words.title}
      about={
        <>
          <p>{words.about}</p>
          <p className="small">{words.caution}</p>
        </>
      }
      ways={
        may('director') &&
        rules.data &&
        policies.data && <Button onPress={() => setSigning(true)}>{words.revisions.open}</Button>
      }
    >
      <Finder
        label={words.find}
        help={words.findHelp}
        text={text}
        onText={setText}
        found={shown.length}
        all={all.length}
      >
        <SelectField
          label={words.weigh}
          value={weight ?? 'any'}
          onChange={(value) => setWeight(value === 'any' ? null : value)}
          options={[{ id: 'any', name: words.any }, ...WEIGHTS.map((id) => ({ id, name: words.weights[id] }))]}
        />
        <Tick on={tightened !== null} onChange={(on) => setTightened(on ? 'yes' : null)}>
          {words.onlyTightened}
        </Tick>
      </Finder>
      {!rules.data && <Waiting error={rules.error} onRetry={() => void rules.refetch()} />}
      {rules.data && shown.length === 0 && (
        <Nothing title={words.none}>
          <p>{words.noneHelp}</p>
        </Nothing>
      )}
      <ul className="lines rules">
        {shown.map((rule) => (
          <li key={rule.code}>
            <RuleLine rule={rule} />
          </li>
        ))}
      </ul>
      <Part title={words.revisions.title} about={words.revisions.about}>
        {!policies.data && <Waiting error={policies.error} onRetry={() => void policies.refetch()} />}
        {policies.data?.revisions.length === 0 && (
          <Nothing title={words.revisions.none}>
            <p>{words.revisions.noneHelp}</p>
          </Nothing>
        )}
        <ul className="lines">
          {policies.data?.revisions.map((revision) => (
            <li key={revision.id}>
              <RevisionLine revision={revision} rules={all} />
            </li>
          ))}
        </ul>
      </Part>
      {signing && (
        <PolicySheet rules={all} last={policies.data?.revisions[0] ?? null} onClose={() => setSigning(false)} />
      )}
    </Page>
  );
}

function fits({ code, title, source, serves }: GateRule, text: string): boolean {
  const where = [code, title, source, ...serves.map(({ citation }) => citation)].join(' ').toLowerCase();
  return text
    .toLowerCase()
    .split(/\s+/)
    .every((word) => where.includes(word));
}

function RuleLine({ rule }: { rule: GateRule }) {
  const { code, title, counts, least, excusable, tightened, mend, serves, limits } = rule;
  const byStep = least === 'note' ? words.byStep : words.atLeast(words.weights[least]);
  return (
    <>
      <h2 className="line-title">{title}</h2>
      <p className="tag-line">
        <Tag frame={FRAMES[counts]}>{counts === 'by step' ? byStep : words.weights[counts]}</Tag>
        {!excusable && <Tag frame="full">{words.never}</Tag>}
        {tightened && <Tag frame="double">{words.tightened}</Tag>}
        <code>{code}</code>
      </p>
      {counts === 'by step' && <p className="small">{words.byStepHelp}</p>}
      <dl className="facts">
        <div>
          <dt>{words.mends}</dt>
          <dd>{mend}</dd>
        </div>
        {limits.map((limit) => (
          <div key={limit.name}>
            <dt>{limit.title}</dt>
            <dd>
              {limit.value === null ? words.unpublished : words.published(`${limit.value} ${words.units[limit.unit]}`)}
              {'; '}
              {words.counts(limit.counts === null ? words.noNumber : `${limit.counts} ${words.units[limit.unit]}`)}
            </dd>
          </div>
        ))}
        <div>
          <dt>{words.serves}</dt>
          <dd>
            <ul className="plain-list">
              {serves.map(({ key, citation, asks, basis }) => (
                <li key={key}>
                  <strong>{citation}</strong>: {asks}
                  {basis === 'from memory' && <span className="small"> ({words.fromMemory})</span>}
                </li>
              ))}
            </ul>
          </dd>
        </div>
      </dl>
    </>
  );
}

function RevisionLine({ revision, rules }: { revision: PolicyRevision; rules: readonly GateRule[] }) {
  const { format } = useSession();
  const { number, inForce, effectiveFrom, reason, eases, signature } = revision;
  const later = effectiveFrom > benchClock.now().at;
  const titleOf = (code: string): string => rules.find((rule) => rule.code === code)?.title ?? code;
  return (
    <>
      <h3 className="line-title">{words.revisions.number(number)}</h3>
      <p className="tag-line">
        <Tag frame={inForce ? 'plain' : 'soft'}>
          {inForce ? words.revisions.inForce : later ? words.revisions.later : words.revisions.before}
        </Tag>
      </p>
      <ul className="plain-list">
        {revision.rules.map((own) => (
          <li key={own.rule}>
            <strong>{titleOf(own.rule)}</strong> {sayings(own, rules).join('; ')}
          </li>
        ))}
        {revision.rules.length === 0 && <li>{words.revisions.nothing}</li>}
      </ul>
      <dl className="facts">
        <div>
          <dt>{words.revisions.from}</dt>
          <dd>{format.dayAndClock(effectiveFrom)}</dd>
        </div>
        <div>
          <dt>{words.revisions.reason}</dt>
          <dd>{reason}</dd>
        </div>
        {eases.length > 0 && (
          <div>
            <dt>{words.revisions.eases}</dt>
            <dd>{eases.map(titleOf).join(', ')}</dd>
          </div>
        )}
      </dl>
      <SignatureBlock signature={signature} />
    </>
  );
}

/** What a policy says of one rule, in words. */
function sayings(
  { rule: code, weight, neverExcused, limits = [] }: PolicyRevision['rules'][number],
  rules: readonly GateRule[],
): string[] {
  const known = rules.find((rule) => rule.code === code)?.limits ?? [];
  return [
    ...(weight ? [words.says.weight(words.weights[weight])] : []),
    ...(neverExcused ? [words.says.never] : []),
    ...limits.map(({ name, value }) => {
      const limit = known.find((each) => each.name === name);
      return words.says.number(limit?.title ?? name, `${value} ${limit ? words.units[limit.unit] : ''}`);
    }),
  ];
}
