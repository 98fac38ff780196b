import { StrictMode } from 'react';
import { createRoot } from 'react-dom/client';
import './parts/theme.css';
import './parts/parts.css';
import './app/app.css';
import { App } from './app/App.js';
import { keepPage } from './offline/version.js';
import { keepFocus } from './parts/focus.js';
import { LOCALE } from './parts/locale.js';
import { readNumbersAs } from './parts/typed-number.js';

readNumbersAs(LOCALE);
keepFocus();
const root = document.getElementById('root');
if (root === null) throw new Error('index.html has no element with the id "root".');
createRoot(root).render(
  <StrictMode>
    <App />
  </StrictMode>,
);
// Without it the page works as before, as long as there is a network.
keepPage().catch(() => undefined);
