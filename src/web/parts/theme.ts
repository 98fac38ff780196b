import { useSyncExternalStore } from 'react';
import { kept } from './kept.js';

export const THEMES = ['device', 'light', 'dark'] as const;
export type Theme = (typeof THEMES)[number];

const listeners = new Set<() => void>();
let theme: Theme = THEMES.find((each) => each === kept.read('theme')) ?? 'device';

function show(): void {
  if (theme === 'device') delete document.documentElement.dataset['theme'];
  else document.documentElement.dataset['theme'] = theme;
}
show();

export function setTheme(to: Theme): void {
  theme = to;
  kept.write('theme', to);
  show();
  listeners.forEach((listener) => listener());
}

export function useTheme(): Theme {
  return useSyncExternalStore(
    (listener) => {
      listeners.add(listener);
      return () => void listeners.delete(listener);
    },
    () => theme,
  );
}
