import { Button as AriaButton, Menu, MenuItem, MenuTrigger, Popover } from 'react-aria-components';
import { WORDS } from '../words.js';

/** A file that a list can be taken away as. */
export interface ListFile {
  name: string;
  href: string;
}

/** Where a list stands as CSV, narrowed as the page narrows it; what does not narrow stays out of the address. */
export function csvOf(list: string, narrowed: Record<string, string | null | undefined> = {}): ListFile {
  const given = Object.entries(narrowed).flatMap(([name, value]) => (value ? [[name, value]] : []));
  const query = new URLSearchParams(given).toString();
  return { name: WORDS.exported.csv, href: query === '' ? `/api/${list}` : `/api/${list}?${query}` };
}

/** The one way in which a list is taken away. */
export function Export({ files }: { files: readonly ListFile[] }) {
  return (
    <MenuTrigger>
      <AriaButton className="button button-quiet">
        {WORDS.exported.open}
        <span className="menu-mark" aria-hidden="true">
          ▾
        </span>
      </AriaButton>
      <Popover className="menu-place" placement="bottom end">
        <Menu className="menu">
          {files.map(({ name, href }) => (
            <MenuItem key={href} id={href} href={href} download className="menu-item">
              {name}
            </MenuItem>
          ))}
        </Menu>
      </Popover>
    </MenuTrigger>
  );
}
