import { Tick } from '../../parts/Choice.js';
import { CardList } from './CardList.js';
import { OWN, withKey } from './draft.js';
import { KeysAt, NumberAt, TextAt } from './fields.js';
import type { ListProps } from './Lists.js';
import { EDITOR } from './words.js';

const words = EDITOR.card;

/** When what is shared is changed and filtered, and what it means for cytological specimens. */
export function ChangeFields({ draft, onChange }: Omit<ListProps, 'faults'>) {
  const { change, cytology } = draft;
  return (
    <div className="draft-whole">
      <Tick
        on={change !== undefined}
        onChange={(on) => onChange(withKey(draft, 'change', on ? { text: '', status: OWN } : undefined))}
      >
        {EDITOR.change.shared}
      </Tick>
      {change && (
        <>
          <TextAt
            at={['change', 'text']}
            label={EDITOR.change.text}
            help={EDITOR.change.textHelp}
            value={change.text}
            onChange={(text) => onChange({ ...draft, change: { ...change, text } })}
            lines={2}
          />
          <div className="draft-row">
            {(['maxSlides', 'maxDays', 'maxPatientsPerAliquot'] as const).map((key) => (
              <NumberAt
                key={key}
                at={['change', key]}
                label={EDITOR.change[key]}
                value={change[key]}
                onChange={(value) => onChange({ ...draft, change: withKey(change, key, value) })}
              />
            ))}
          </div>
          <TextAt
            at={['change', 'filter']}
            label={EDITOR.change.filter}
            help={EDITOR.change.filterHelp}
            value={change.filter ?? ''}
            onChange={(filter) => onChange({ ...draft, change: withKey(change, 'filter', filter || undefined) })}
          />
        </>
      )}
      <Tick on={cytology !== undefined} onChange={(on) => onChange(withKey(draft, 'cytology', on ? {} : undefined))}>
        {EDITOR.cytology.takes}
      </Tick>
      {cytology && (
        <div id="draft-cytology" className="draft-whole">
          <Tick
            on={cytology.papanicolaou === true}
            onChange={(on) =>
              onChange({ ...draft, cytology: withKey(cytology, 'papanicolaou', on ? true : undefined) })
            }
          >
            {EDITOR.cytology.papanicolaou}
          </Tick>
          <TextAt
            at={['cytology', 'separation']}
            label={EDITOR.cytology.separation}
            help={EDITOR.cytology.separationHelp}
            value={cytology.separation ?? ''}
            onChange={(text) => onChange({ ...draft, cytology: withKey(cytology, 'separation', text || undefined) })}
          />
        </div>
      )}
    </div>
  );
}

/** How stained material and reagents are kept. */
export function StorageList({ draft, faults, onChange }: ListProps) {
  return (
    <CardList
      list="storage"
      items={draft.storage ?? []}
      faults={faults}
      nameOf={words.storage}
      lineOf={({ text }) => text || words.unnamed}
      onChange={(lines) => onChange(withKey(draft, 'storage', lines.length > 0 ? lines : undefined))}
      fresh={() => ({ text: '', status: OWN })}
      addWord={words.addStorage}
      fields={(line, at, change) => (
        <TextAt
          at={[...at, 'text']}
          label={EDITOR.storageText}
          value={line.text}
          onChange={(text) => change({ ...line, text })}
          lines={2}
        />
      )}
    />
  );
}

/** What the tissue is still good for after the stain. */
export function FitnessList({ draft, faults, onChange }: ListProps) {
  return (
    <CardList
      list="fitness"
      items={draft.fitness}
      faults={faults}
      nameOf={words.fitness}
      lineOf={({ use, unfit }) => (unfit ? EDITOR.fitness.spentFor(use) : use || words.unnamed)}
      onChange={(fitness) => onChange({ ...draft, fitness })}
      fresh={() => ({ use: '', statement: '', sources: [] })}
      addWord={words.addFitness}
      fields={(item, at, change) => (
        <>
          <TextAt
            at={[...at, 'use']}
            label={EDITOR.fitness.use}
            help={EDITOR.fitness.useHelp}
            value={item.use}
            onChange={(use) => change({ ...item, use })}
          />
          <TextAt
            at={[...at, 'statement']}
            label={EDITOR.fitness.statement}
            value={item.statement}
            onChange={(statement) => change({ ...item, statement })}
            lines={2}
          />
          <Tick on={item.unfit === true} onChange={(on) => change(withKey(item, 'unfit', on ? true : undefined))}>
            {EDITOR.fitness.unfit}
          </Tick>
          <KeysAt
            at={[...at, 'sources']}
            label={EDITOR.sources}
            help={EDITOR.sourcesHelp}
            value={item.sources}
            onChange={(sources) => change({ ...item, sources })}
          />
        </>
      )}
    />
  );
}
