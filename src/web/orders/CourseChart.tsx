import * as Plot from '@observablehq/plot';
import { useEffect, useRef, useState } from 'react';
import type { Outlook } from '../api.paths.js';
import { amountText, dayText } from './amounts.js';
import { ORDERS } from './words.js';

const words = ORDERS.reagent;

/** The stock to come with its band, the reorder point, what expires and what arrives; the table beside it says the same. */
export function CourseChart({ outlook }: { outlook: Outlook }) {
  const place = useRef<HTMLDivElement>(null);
  const [width, setWidth] = useState(0);
  useEffect(() => {
    const watched = new ResizeObserver(([entry]) => setWidth(Math.floor(entry?.contentRect.width ?? 0)));
    if (place.current) watched.observe(place.current);
    return () => watched.disconnect();
  }, []);
  useEffect(() => {
    const inside = place.current;
    if (!inside || width === 0) return undefined;
    const chart = drawn(outlook, width);
    // The picture as a whole has a name; those that the library gives its parts would be read in the middle of nothing.
    for (const part of chart.querySelectorAll('[aria-label]')) part.removeAttribute('aria-label');
    inside.append(chart);
    return () => chart.remove();
  }, [outlook, width]);
  const { name, onShelf, unit, runsOutOn } = outlook;
  const out = runsOutOn === null ? words.lasts : words.runsOutOn(dayText(runsOutOn));
  return (
    <div ref={place} className="chart" role="img" aria-label={words.chartLabel(name, amountText(onShelf, unit), out)} />
  );
}

/** One mark a day, whatever expires or comes with it. */
function summed(steps: readonly { day: string; quantity: number }[]): { day: string; quantity: number }[] {
  const days = [...new Set(steps.map(({ day }) => day))];
  return days.map((day) => ({
    day,
    quantity: steps.filter((each) => each.day === day).reduce((sum, { quantity }) => sum + quantity, 0),
  }));
}

function drawn({ course, expiring, onWay, reorderPoint, unit }: Outlook, width: number): Element {
  const at = (day: string): Date => new Date(day);
  const last = course.at(-1)?.day ?? '';
  const days = course.map(({ day, stock, low, high }) => ({ day: at(day), stock, low, high }));
  const stockOn = (day: string): number => course.find((each) => each.day === day)?.stock ?? 0;
  const marks = [
    ...summed(expiring).map(({ day, quantity }) => ({ day, text: `− ${amountText(quantity, unit)}` })),
    ...summed(onWay.map(({ arrives, quantity }) => ({ day: arrives, quantity }))).map(({ day, quantity }) => ({
      day,
      text: `+ ${amountText(quantity, unit)}`,
    })),
  ].filter(({ day }) => day <= last);
  return Plot.plot({
    width,
    height: Math.max(220, Math.min(380, width * 0.42)),
    marginLeft: 56,
    marginRight: 24,
    style: { background: 'transparent', color: 'var(--ink)', fontFamily: 'var(--tools)', fontSize: '13px' },
    x: { label: null, type: 'utc' },
    y: { label: unit, grid: true, zero: true, nice: true },
    marks: [
      Plot.areaY(days, {
        x: 'day',
        y1: 'low',
        y2: 'high',
        fill: 'var(--indigo)',
        fillOpacity: 0.16,
        curve: 'step-after',
      }),
      Plot.lineY(days, { x: 'day', y: 'stock', stroke: 'var(--indigo)', strokeWidth: 2.5, curve: 'step-after' }),
      Plot.ruleY([reorderPoint], { stroke: 'var(--ochre)', strokeWidth: 1.5, strokeDasharray: '7 5' }),
      Plot.text([words.reorderPoint], {
        frameAnchor: 'right',
        y: () => reorderPoint,
        dy: -9,
        textAnchor: 'end',
        fill: 'var(--ochre)',
      }),
      Plot.ruleX(marks, { x: ({ day }: { day: string }) => at(day), stroke: 'var(--ink)', strokeDasharray: '2 3' }),
      Plot.text(marks, {
        x: ({ day }: { day: string }) => at(day),
        y: ({ day }: { day: string }) => stockOn(day),
        text: 'text',
        dy: -12,
        fill: 'var(--ink)',
        stroke: 'var(--paper)',
        strokeWidth: 4,
      }),
      Plot.ruleY([0]),
    ],
  });
}
