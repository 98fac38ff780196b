import { createContext } from 'react';

/** Whether the person can open the screen of an address; the frame around every screen knows, and pages ask. */
export const Opens = createContext<(href: string) => boolean>(() => true);

/** The address of the screen that is open as it is registered, such as '/release/:run'; empty where there is none. */
export const Here = createContext('');
