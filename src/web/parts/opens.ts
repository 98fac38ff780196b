import { createContext } from 'react';

/** Whether the person can open the screen of an address; the frame around every screen knows, and pages ask. */
export const Opens = createContext<(href: string) => boolean>(() => true);
