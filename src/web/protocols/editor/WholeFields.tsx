import { STAIN_CATEGORIES } from '../../../core/protocol/protocol.js';
import { Tick } from '../../parts/Choice.js';
import { PROTOCOLS } from '../words.js';
import { type Draft, idFrom } from './draft.js';
import { ChoiceAt, KeysAt, TextAt } from './fields.js';
import { EDITOR as words } from './words.js';

/** What the protocol says as a whole. */
export function WholeFields({
  draft,
  isNew,
  onChange,
}: {
  draft: Draft;
  isNew: boolean;
  onChange: (draft: Draft) => void;
}) {
  const { material } = draft;
  const set = (part: Partial<Draft>): void => onChange({ ...draft, ...part });
  return (
    <div className="draft-whole">
      <TextAt
        at={['title']}
        label={words.titleField}
        value={draft.title}
        onChange={(title) =>
          // The id follows the title until somebody gives it one of its own.
          set({ title, ...(isNew && draft.id === idFrom(draft.title) && { id: idFrom(title) }) })
        }
      />
      {isNew && (
        <TextAt at={['id']} label={words.id} help={words.idHelp} value={draft.id} onChange={(id) => set({ id })} />
      )}
      <TextAt at={['purpose']} label={words.purpose} value={draft.purpose} onChange={(purpose) => set({ purpose })} />
      <TextAt
        at={['expected']}
        label={words.expected}
        value={draft.expected}
        onChange={(expected) => set({ expected })}
        lines={2}
      />
      <div className="draft-row">
        <ChoiceAt
          at={['category']}
          label={words.category}
          value={draft.category}
          onChange={(category) => set({ category })}
          options={STAIN_CATEGORIES}
          nameOf={(id) => PROTOCOLS.categories[id]}
        />
        <ChoiceAt
          at={['setting']}
          label={words.setting}
          value={draft.setting}
          onChange={(setting) => set({ setting })}
          options={['laboratory', 'bedside']}
          nameOf={(id) => PROTOCOLS.settings[id]}
        />
        <ChoiceAt
          at={['material', 'form']}
          label={words.form}
          value={material.form}
          onChange={(form) => set({ material: { ...material, form } })}
          options={['fresh tissue', 'section', 'smear']}
        />
      </div>
      <TextAt
        at={['material', 'description']}
        label={words.material}
        value={material.description}
        onChange={(description) => set({ material: { ...material, description } })}
      />
      <Tick on={material.irreplaceable} onChange={(irreplaceable) => set({ material: { ...material, irreplaceable } })}>
        {words.irreplaceable}
      </Tick>
      <KeysAt
        at={['sources']}
        label={words.sources}
        help={words.sourcesHelp}
        value={draft.sources}
        onChange={(sources) => set({ sources })}
      />
    </div>
  );
}
