const PREFIX = 'stainwright.';

/** Small choices kept on this device, such as the theme; a browser that keeps nothing still works for the day. */
export const kept = {
  read(name: string): string | null {
    try {
      return localStorage.getItem(PREFIX + name);
    } catch {
      return null;
    }
  },
  write(name: string, value: string): void {
    try {
      localStorage.setItem(PREFIX + name, value);
    } catch {
      // Storage is full or forbidden; the choice then lasts as long as the page.
    }
  },
};
