import { useQuery } from '@tanstack/react-query';
import { useState } from 'react';
import { Link } from 'react-aria-components';
import type { ScreenProps } from '../app/screen.js';
import { useSession } from '../app/session.js';
import { api, got } from '../api.js';
import type { Outlook } from '../api.paths.js';
import { Button } from '../parts/Button.js';
import { Page, Part, Waiting } from '../parts/Page.js';
import { amountText, dayText, numberText } from './amounts.js';
import { CourseChart } from './CourseChart.js';
import './orders.css';
import { PressingTag } from './OutlookScreen.js';
import { PolicySheet } from './PolicySheet.js';
import { ORDERS } from './words.js';

const words = ORDERS.reagent;
const above = { href: '/stock/outlook', word: ORDERS.outlook.title };

/** One reagent's stock to come, what to order, and how that is reckoned. */
export default function ReagentScreen({ reagent = '' }: ScreenProps) {
  const { may } = useSession();
  const { data, error, refetch } = useQuery({
    queryKey: ['stock', 'outlook', reagent],
    queryFn: () => got(api.GET('/api/outlook/{reagent}', { params: { path: { reagent } } })),
  });
  const [setting, setSetting] = useState(false);
  if (!data) {
    return (
      <Page title={ORDERS.outlook.title} above={above}>
        <Waiting error={error} onRetry={() => void refetch()} />
      </Page>
    );
  }
  const level = data.figures.find(({ name }) => name === 'serviceLevel')?.value ?? 0;
  return (
    <Page
      title={data.name}
      above={above}
      about={
        <p className="tag-line">
          <PressingTag line={data} /> <Proposal outlook={data} />
        </p>
      }
      ways={may('manager', 'director') && <Button onPress={() => setSetting(true)}>{words.setPolicy}</Button>}
    >
      <Part title={words.chart} about={words.chartAbout(`${numberText(level * 100)} %`)}>
        <CourseChart outlook={data} />
        <Steps outlook={data} />
        <CourseTable outlook={data} />
      </Part>
      <Part title={words.arithmetic} about={words.arithmeticAbout}>
        <Kind outlook={data} />
        <Figures outlook={data} />
      </Part>
      <Part title={words.other}>
        <Sizes outlook={data} />
      </Part>
      {setting && <PolicySheet reagent={reagent} name={data.name} onClose={() => setSetting(false)} />}
    </Page>
  );
}

function Proposal({ outlook: { packs, quantity, unit, cappedByExpiry, waste, madeHere } }: { outlook: Outlook }) {
  if (packs === null || quantity === null) {
    return <span>{madeHere ? ORDERS.outlook.madeHere : ORDERS.outlook.noProduct}</span>;
  }
  if (packs === 0) return null;
  return (
    <>
      <Link href="/stock/orders">
        {ORDERS.outlook.propose}: {ORDERS.outlook.packs(packs)}, {amountText(quantity, unit)}
      </Link>
      {cappedByExpiry && <span>{waste ? words.waste(amountText(waste, unit)) : words.capped}</span>}
    </>
  );
}

/** What expires and what arrives, in the order of days. */
function Steps({ outlook: { expiring, onWay, unit } }: { outlook: Outlook }) {
  const steps = [
    ...expiring.map(({ name, day, quantity }) => ({ day, text: words.expires(name, amountText(quantity, unit)) })),
    ...onWay.map(({ name, arrives, quantity }) => ({
      day: arrives,
      text: words.arrives(name, amountText(quantity, unit)),
    })),
  ].sort((a, b) => (a.day < b.day ? -1 : 1));
  if (steps.length === 0) return null;
  return (
    <ul className="steps">
      {steps.map(({ day, text }) => (
        <li key={day + text}>
          <span className="figures">{dayText(day)}</span> {text}
        </li>
      ))}
    </ul>
  );
}

/** Every seventh day is enough to read a course from. */
function CourseTable({ outlook: { course, unit } }: { outlook: Outlook }) {
  return (
    <details>
      <summary>{words.table}</summary>
      <div className="table-place">
        <table>
          <thead>
            <tr>
              {[words.day, words.stock, words.low, words.high].map((title) => (
                <th key={title} scope="col">
                  {title}
                </th>
              ))}
            </tr>
          </thead>
          <tbody>
            {course
              .filter((_, n) => n % 7 === 0)
              .map(({ day, stock, low, high }) => (
                <tr key={day}>
                  <th scope="row">{dayText(day)}</th>
                  <td data-label={words.stock}>{amountText(stock, unit)}</td>
                  <td data-label={words.low}>{amountText(low, unit)}</td>
                  <td data-label={words.high}>{amountText(high, unit)}</td>
                </tr>
              ))}
          </tbody>
        </table>
      </div>
    </details>
  );
}

function Kind({ outlook }: { outlook: Outlook }) {
  const { class: known, method, lookBack, unit, leadLearnt, byCount, figures } = outlook;
  const observed = figures.find(({ name }) => name === 'leadsObserved')?.value ?? 0;
  const facts: [string, string][] = [
    [words.class, known === null ? words.noClass : words.classes[known]],
    [words.method, words.methods[method]],
    [words.figures.leadDays[0], leadLearnt ? `${words.learnt} (${observed})` : words.stated],
  ];
  if (lookBack) {
    const against = lookBack.mase === null ? '' : `; ${words.mase(numberText(lookBack.mase))}`;
    facts.push([words.lookBack, words.lookBackDay(amountText(lookBack.mae, unit)) + against]);
  }
  return (
    <>
      <dl className="facts">
        {facts.map(([name, value]) => (
          <div key={name}>
            <dt>{name}</dt>
            <dd>{value}</dd>
          </div>
        ))}
      </dl>
      {byCount && <p>{words.byCount}</p>}
    </>
  );
}

function Figures({ outlook: { figures, unit } }: { outlook: Outlook }) {
  return (
    <div className="table-place">
      <table className="reckoning">
        <thead>
          <tr>
            <th scope="col">{words.figure}</th>
            <th scope="col">{words.value}</th>
            <th scope="col">{words.means}</th>
          </tr>
        </thead>
        <tbody>
          {figures.flatMap(({ name, value }) => {
            const [title, means, kind] = words.figures[name];
            if (value === null) return [];
            return [
              <tr key={name}>
                <th scope="row">{title}</th>
                <td data-label={words.value} className="figures">
                  {figureText(value, kind, unit)}
                </td>
                <td data-label={words.means}>{means}</td>
              </tr>,
            ];
          })}
        </tbody>
      </table>
    </div>
  );
}

function figureText(value: number, kind: 'days' | 'plain' | 'amount' | 'share', unit: string): string {
  switch (kind) {
    case 'amount':
      return amountText(value, unit);
    case 'share':
      return `${numberText(value * 100)} %`;
    case 'days':
    case 'plain':
      return numberText(value);
  }
}

const SIZES = ['capFefo', 'capAtRisk', 'wasteOnAverage', 'fillRate', 'reorderPointForFill'] as const;

function Sizes({ outlook: { size, unit } }: { outlook: Outlook }) {
  return (
    <dl className="facts">
      {SIZES.flatMap((name) => {
        const value = size[name];
        if (value === null) return [];
        return [
          <div key={name}>
            <dt>{words.size[name]}</dt>
            <dd>{name === 'fillRate' ? `${numberText(value * 100)} %` : amountText(value, unit)}</dd>
          </div>,
        ];
      })}
    </dl>
  );
}
