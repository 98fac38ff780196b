import { useState } from 'react';
import type { Drawing, Shape } from '../../core/controls/picture.js';
import { pointPath } from '../../core/controls/svg.js';

/** A drawing of the core on the page; what it shows stands in words beside it, so it is one picture to a reader aloud. */
export function Chart({ drawing: { width, height, shapes }, label }: { drawing: Drawing; label: string }) {
  return (
    <svg className="chart" viewBox={`0 0 ${width} ${height}`} role="img" aria-label={label}>
      {shapes.map((shape, n) => (
        <Mark key={n} shape={shape} />
      ))}
    </svg>
  );
}

/** How wide a drawing is to be so that its words stay as large as the page's, and what it is measured by. */
export function useWidth(): [number, (place: HTMLElement | null) => void] {
  const [width, setWidth] = useState(WIDEST);
  const [measure] = useState(() => (place: HTMLElement | null) => {
    if (!place) return undefined;
    const observer = new ResizeObserver(([entry]) => {
      if (entry) setWidth(Math.round(Math.min(Math.max(entry.contentRect.width, NARROWEST), WIDEST)));
    });
    observer.observe(place);
    return () => observer.disconnect();
  });
  return [width, measure];
}

const [NARROWEST, WIDEST] = [300, 960];

function Mark({ shape }: { shape: Shape }) {
  const name = `chart-${shape.role}`;
  switch (shape.kind) {
    case 'line':
      return <line className={name} x1={shape.x1} y1={shape.y1} x2={shape.x2} y2={shape.y2} />;
    case 'path':
      return <polyline className={name} points={shape.points.map((place) => place.join(',')).join(' ')} />;
    case 'point':
      return (
        <path className={name} d={pointPath(shape)}>
          <title>{shape.says}</title>
        </path>
      );
    case 'text':
      return (
        <text className={name} x={shape.x} y={shape.y} textAnchor={shape.anchor}>
          {shape.text}
        </text>
      );
  }
}
