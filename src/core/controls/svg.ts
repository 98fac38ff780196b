import type { Drawing, Shape } from './picture.js';

const INK = '#1c1a38';
const SOFT = '#4b4868';
const LINES = {
  mean: `stroke="${INK}"`,
  limit: `stroke="${INK}" stroke-dasharray="6 3"`,
  warning: `stroke="${SOFT}" stroke-dasharray="2 3"`,
  mark: `stroke="${SOFT}" stroke-width="1.5"`,
  axis: `stroke="${SOFT}"`,
} as const;
const PATHS = {
  values: `stroke="${SOFT}"`,
  average: `stroke="${INK}" stroke-width="1.5"`,
  above: `stroke="${INK}" stroke-width="1.5"`,
  below: `stroke="${INK}" stroke-width="1.5" stroke-dasharray="5 3"`,
} as const;

/** Drawings under each other with a title each, as one SVG picture that needs nothing else. */
export function svgPicture(title: string, drawings: readonly { title: string; drawing: Drawing }[]): string {
  let top = 30;
  const parts = drawings.map(({ title: own, drawing }) => {
    const at = top;
    top += drawing.height + 26;
    const heading = `<text x="8" y="${at + 14}" font-size="13" font-weight="600">${escaped(own)}</text>`;
    return `${heading}<g transform="translate(0 ${at + 20})">${drawing.shapes.map(shapeText).join('')}</g>`;
  });
  const width = Math.max(...drawings.map(({ drawing }) => drawing.width), 320);
  return [
    `<svg xmlns="http://www.w3.org/2000/svg" viewBox="0 0 ${width} ${top}" width="${width}" height="${top}"`,
    ` font-family="sans-serif" font-size="11" fill="${INK}" role="img"><title>${escaped(title)}</title>`,
    `<rect width="100%" height="100%" fill="#ffffff"/>`,
    `<text x="8" y="20" font-size="16">${escaped(title)}</text>${parts.join('')}</svg>`,
  ].join('');
}

function shapeText(shape: Shape): string {
  switch (shape.kind) {
    case 'line':
      return `<line x1="${shape.x1}" y1="${shape.y1}" x2="${shape.x2}" y2="${shape.y2}" ${LINES[shape.role]}/>`;
    case 'path':
      return `<polyline points="${shape.points.map((place) => place.join(',')).join(' ')}" fill="none" ${PATHS[shape.role]}/>`;
    case 'point': {
      const hollow = shape.role === 'warn' || shape.role === 'unjudged';
      const look = hollow ? `fill="#ffffff" stroke="${INK}" stroke-width="1.5"` : `fill="${INK}"`;
      return `<path d="${pointPath(shape)}" ${look}><title>${escaped(shape.says)}</title></path>`;
    }
    case 'text':
      return `<text x="${shape.x}" y="${shape.y}" text-anchor="${shape.anchor}">${escaped(shape.text)}</text>`;
  }
}

/** A rejected value is a diamond, a warned one a hollow triangle, one without limits a ring, any other a dot. */
export function pointPath({ role, x, y }: Extract<Shape, { kind: 'point' }>): string {
  if (role === 'reject') return `M${x} ${y - 7}L${x + 7} ${y}L${x} ${y + 7}L${x - 7} ${y}Z`;
  if (role === 'warn') return `M${x} ${y - 6}L${x + 6} ${y + 5}L${x - 6} ${y + 5}Z`;
  const r = 3;
  return `M${x - r} ${y}a${r} ${r} 0 1 0 ${2 * r} 0a${r} ${r} 0 1 0 ${-2 * r} 0Z`;
}

function escaped(text: string): string {
  return text.replaceAll('&', '&amp;').replaceAll('<', '&lt;').replaceAll('>', '&gt;').replaceAll('"', '&quot;');
}
