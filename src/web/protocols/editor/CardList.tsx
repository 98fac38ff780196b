import { type ReactNode, useState } from 'react';
import { announce } from '../../parts/announce.js';
import { Button } from '../../parts/Button.js';
import { Card } from './Card.js';
import { moved } from './draft.js';
import { type Fault, faultsIn } from './faults.js';
import { EDITOR } from './words.js';

const words = EDITOR.card;

/** A list of the draft, one card for each item: moved, removed, added to, and opened to be written. */
export function CardList<T>({
  list,
  items,
  faults,
  nameOf,
  lineOf,
  onChange,
  fresh,
  addWord,
  least = 0,
  fields,
}: {
  /** Where it stands in the protocol. */
  list: string;
  items: readonly T[];
  faults: readonly Fault[];
  /** What an item is called where it is moved or removed: 'Step 3'. */
  nameOf: (number: number) => string;
  /** What it says in one line. */
  lineOf: (item: T) => string;
  onChange: (items: T[]) => void;
  /** An item to be written. */
  fresh: () => T;
  /** The way to add one at the end; where it is left out, one is added after another, as order matters. */
  addWord?: string;
  /** So many must stay. */
  least?: number;
  fields: (item: T, at: readonly [string, number], change: (to: T) => void) => ReactNode;
}) {
  // Not every item has an id, and one that is being written keeps its fields when another is moved.
  const [keys, setKeys] = useState(() => items.map((_, n) => n));
  const [added, setAdded] = useState<number | null>(null);
  const add = (at: number): void => {
    const key = Math.max(-1, ...keys) + 1;
    setAdded(key);
    setKeys(keys.toSpliced(at, 0, key));
    onChange(items.toSpliced(at, 0, fresh()));
  };
  const List = addWord === undefined ? 'ol' : 'ul';
  return (
    <>
      <List className="draft-list">
        {items.map((item, index) => (
          <Card
            key={keys[index]}
            id={`draft-${list}-${index}`}
            name={nameOf(index + 1)}
            line={lineOf(item)}
            faults={faultsIn(faults, list, index)}
            at={index}
            count={items.length}
            stays={items.length <= least}
            opensAtOnce={keys[index] === added}
            onMove={(to) => {
              setKeys(moved(keys, index, to));
              onChange(moved(items, index, to));
              announce(words.moved(lineOf(item), to + 1));
            }}
            onRemove={() => {
              setKeys(keys.toSpliced(index, 1));
              onChange(items.toSpliced(index, 1));
            }}
            {...(addWord === undefined && { onAfter: () => add(index + 1) })}
          >
            {fields(item, [list, index], (to) => onChange(items.with(index, to)))}
          </Card>
        ))}
      </List>
      {addWord !== undefined && <Button onPress={() => add(items.length)}>{addWord}</Button>}
    </>
  );
}
