import { INTENDED_USES } from '../../core/lot/lot.js';
import { Tick } from '../parts/Choice.js';
import { Field } from '../parts/Field.js';
import { SelectField } from '../parts/SelectField.js';
import { limitsText, usePlaces } from '../places/places.js';
import { WORDS } from '../words.js';
import { type Delivery, wrongPrice } from './delivery.js';
import { STOCK } from './words.js';

const words = STOCK.in;

/** What many lots need not say: whom it is made for, its kit, its price, and where it was put. */
export function MoreFields({
  delivery,
  set,
  faultAt,
}: {
  delivery: Delivery;
  set: (change: Partial<Delivery>) => void;
  faultAt: (at: string) => string | undefined;
}) {
  const places = usePlaces();
  return (
    <fieldset className="came">
      <legend>{words.more}</legend>
      <Tick on={delivery.expirySetHere} onChange={(expirySetHere) => set({ expirySetHere })}>
        {words.expirySetHere}
      </Tick>
      <div className="fields">
        <SelectField
          label={words.place}
          help={faultAt('place')}
          value={delivery.place || 'none'}
          onChange={(place) => set({ place: place === 'none' ? '' : place })}
          options={[
            { id: 'none', name: words.placePick },
            ...(places.data?.places ?? []).map((each) => ({
              id: each.code,
              name: `${each.name}, ${limitsText(each)}`,
            })),
          ]}
        />
        <SelectField
          label={words.intendedUse}
          value={delivery.intendedUse || 'none'}
          onChange={(value) => set({ intendedUse: value === 'none' ? '' : value })}
          options={[
            { id: 'none' as const, name: words.intendedUsePick },
            ...INTENDED_USES.map((id) => ({ id, name: words.intendedUses[id] })),
          ]}
        />
        <Field
          label={words.kit}
          help={words.kitHelp}
          error={faultAt('kit')}
          value={delivery.kit}
          onChange={(kit) => set({ kit })}
          autoComplete="off"
        />
        <Field
          label={words.kitLot}
          help={WORDS.optional}
          error={faultAt('kitLot')}
          value={delivery.kitLot}
          onChange={(kitLot) => set({ kitLot })}
          autoComplete="off"
        />
        <Field
          label={words.price}
          help={words.priceHelp}
          error={wrongPrice(delivery.price) ? words.notPrice : faultAt('priceCents')}
          value={delivery.price}
          onChange={(price) => set({ price })}
          inputMode="decimal"
          autoComplete="off"
        />
      </div>
    </fieldset>
  );
}
