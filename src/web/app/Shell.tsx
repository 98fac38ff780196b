import { useMutationState, useQueryClient } from '@tanstack/react-query';
import { lazy, type ReactNode, Suspense, useEffect, useRef, useState } from 'react';
import { Link } from 'react-aria-components';
import { Find } from '../find/Find.js';
import { HANDOVER } from '../handover/words.js';
import { useOutbox } from '../offline/outbox.js';
import { sendOutbox } from '../offline/send.js';
import { useSettledBench } from '../offline/settling.js';
import { Unsent } from '../offline/Unsent.js';
import { useNewVersion } from '../offline/version.js';
import { OFFLINE } from '../offline/words.js';
import { CONTENT } from '../parts/focus.js';
import { useFolding } from '../parts/folding.js';
import { LOCALE, localeInWords, LOCALES, setLocale } from '../parts/locale.js';
import { sayProblem } from '../parts/notices.js';
import { setMuted, useSound } from '../parts/sound.js';
import { setTheme, type Theme, THEMES, useTheme } from '../parts/theme.js';
import { useBeat, benchClock } from '../parts/ticker.js';
import { Button } from '../parts/Button.js';
import { keepContact } from './contact.js';
import { followLive, useLive } from './live.js';
import { match } from './match.js';
import { usePath } from './router.js';
import { GROUPS, isFor, type Screen } from './screen.js';
import { SCREENS } from './screens.js';
import { useSession } from './session.js';
import { APP_WORDS } from './words.js';

const TakeOverSheet = lazy(() => import('../handover/TakeOverSheet.js'));
const BadgeSheet = lazy(() => import('../handover/BadgeSheet.js'));
// A page goes on without it, such as when the network drops before it came.
const Strip = lazy(() => import('../guide/Strip.js').catch(() => ({ default: () => null })));

/** Keeps clock and queries true to the server while a session is open. */
export function useTruth(): void {
  const queries = useQueryClient();
  const { may, person } = useSession();
  const still = may('reviewer');
  useEffect(() => {
    const stops = [keepContact(), followLive(queries, still)];
    return () => stops.forEach((stop) => stop());
  }, [queries, still]);
  // Anew for each person, since each one's entries wait for their own session.
  useEffect(() => sendOutbox(queries), [queries, person.id]);
  useSettledBench();
}

/** What stands around every screen: where one is, who one is, and whether what is shown is true now. */
export function Shell({ children }: { children: ReactNode }) {
  const path = usePath();
  const { laboratory, may } = useSession();
  const screens = SCREENS.filter((screen) => screen.inNavigation && isFor(screen, may));
  const navigation = useRef<HTMLElement>(null);
  useEffect(() => {
    // On a phone the links scroll sideways, and where one is must not stand out of sight.
    const nav = navigation.current;
    const here = nav?.querySelector<HTMLElement>('[aria-current]');
    if (nav && here) nav.scrollLeft = here.offsetLeft - nav.offsetLeft - (nav.clientWidth - here.offsetWidth) / 2;
  }, [path]);
  return (
    <div className="shell">
      <a className="skip" href={`#${CONTENT}`}>
        {APP_WORDS.skip}
      </a>
      <header className="top">
        <p className="product">{APP_WORDS.product}</p>
        <nav ref={navigation} aria-label={APP_WORDS.navigation}>
          {screens.map((screen) => (
            <Link
              key={screen.path}
              href={screen.path}
              className="nav-link"
              {...(holds(screen, path) && { 'aria-current': 'true' })}
              {...(match(screen.path, path) && { 'aria-current': 'page' })}
            >
              {screen.title}
            </Link>
          ))}
        </nav>
        <div className="top-ways">
          <Find screens={SCREENS} />
          <Link href="/help" className="nav-link" {...(match('/help', path) && { 'aria-current': 'page' })}>
            {APP_WORDS.screens.help}
          </Link>
        </div>
        <div className="top-end">
          <Truth />
          <Own path={path} />
        </div>
        {laboratory.demo && <p className="demo">{APP_WORDS.demo}</p>}
      </header>
      {(laboratory.demo || may('administrator', 'director')) && (
        <Suspense>
          <Strip />
        </Suspense>
      )}
      <main id={CONTENT} tabIndex={-1}>
        <SectionScreens path={path} />
        {children}
      </main>
    </div>
  );
}

/** Who one is, and what is one's own on this device: opened by its name, away once one goes on to something else. */
function Own({ path }: { path: string }) {
  const { laboratory, person } = useSession();
  const { ref } = useFolding();
  // A page or a person later it would stand open over what was not asked about.
  useEffect(() => ref.current?.removeAttribute('open'), [ref, path, person.id]);
  return (
    <details ref={ref} className="own">
      <summary>{person.name}</summary>
      <div className="own-sheet">
        <p>{laboratory.name}</p>
        <SoundSwitch />
        <ThemeSwitch />
        <LocaleSwitch />
        <TakeOver />
        <SignOut />
      </div>
    </details>
  );
}

/** Whether an address lies below a screen or in its section. */
function holds({ path: above, section }: Screen, path: string): boolean {
  return (above !== '/' && path.startsWith(`${above}/`)) || (section !== undefined && section === sectionOf(path));
}

function sectionOf(path: string): Screen['section'] {
  return SCREENS.find((screen) => match(screen.path, path))?.section;
}

/** The other screens of the topic that one is in. */
function SectionScreens({ path }: { path: string }) {
  const { may } = useSession();
  const section = sectionOf(path);
  if (!section) return null;
  const screens = SCREENS.filter(
    (screen) => screen.section === section && screen.inSection !== undefined && isFor(screen, may),
  );
  if (screens.length === 0) return null;
  return (
    <nav aria-label={APP_WORDS.sections[section]} className="section-screens">
      <SectionLinks screens={screens.filter(({ group }) => group === undefined)} path={path} />
      {GROUPS.map((group) => {
        const own = screens.filter((screen) => screen.group === group);
        return (
          own.length > 0 && (
            <div key={group} role="group" aria-labelledby={`group-${group}`} className="section-group">
              <span id={`group-${group}`} className="section-group-name">
                {APP_WORDS.groups[group]}
              </span>
              <SectionLinks screens={own} path={path} />
            </div>
          )
        );
      })}
    </nav>
  );
}

function SectionLinks({ screens, path }: { screens: readonly Screen[]; path: string }) {
  return screens.map(({ path: address, inSection }) => (
    <Link
      key={address}
      href={address}
      className="section-link"
      {...(match(address, path) && { 'aria-current': 'page' })}
    >
      {inSection}
    </Link>
  ));
}

/** Whether the page hears the server, what is not sent yet, and whether the clock is sure. */
function Truth() {
  const { connected, since } = useLive();
  const { format } = useSession();
  const unsent = useMutationState({ filters: { status: 'pending' }, select: ({ state }) => state.failureCount > 0 });
  const waiting = unsent.filter(Boolean).length;
  const sure = useBeat(() => benchClock.bounded);
  const version = useNewVersion();
  useEffect(() => {
    if (waiting === 0) return undefined;
    // What is asked for on a desk lives in this page only, so the browser asks before it goes.
    const ask = (event: BeforeUnloadEvent): void => event.preventDefault();
    addEventListener('beforeunload', ask);
    return () => removeEventListener('beforeunload', ask);
  }, [waiting]);
  return (
    <div className="truth" role="status">
      <p className={connected ? 'live' : 'live live-lost'} {...(!connected && { title: APP_WORDS.live.lostHelp })}>
        {connected ? APP_WORDS.live.connected : APP_WORDS.live.lost(format.clock(since))}
      </p>
      {waiting > 0 && <p className="live live-lost">{APP_WORDS.live.unsent(waiting)}</p>}
      <Unsent />
      {version.here && (
        <p className="live">
          {OFFLINE.newVersion}{' '}
          <Button look="quiet" onPress={version.take}>
            {OFFLINE.takeVersion}
          </Button>
        </p>
      )}
      {!sure && (
        <p className="live live-lost" title={APP_WORDS.live.unsureHelp}>
          {APP_WORDS.live.unsure}
        </p>
      )}
    </div>
  );
}

function TakeOver() {
  const { may } = useSession();
  const [asked, setAsked] = useState<'take over' | 'badge' | null>(null);
  if (!may('technician', 'releaser')) return null;
  const close = (): void => setAsked(null);
  return (
    <>
      <Link href="/hand-over" className="button">
        {HANDOVER.page.open}
      </Link>
      <Button onPress={() => setAsked('take over')}>{HANDOVER.open}</Button>
      <Button onPress={() => setAsked('badge')}>{HANDOVER.own.open}</Button>
      <Suspense>
        {asked === 'take over' && <TakeOverSheet onClose={close} />}
        {asked === 'badge' && <BadgeSheet onClose={close} />}
      </Suspense>
    </>
  );
}

function SignOut() {
  const { signOut } = useSession();
  const unsent = useOutbox().length > 0;
  return (
    <>
      {unsent && <p className="small">{OFFLINE.stay}</p>}
      <Button onPress={() => void signOut().catch(sayProblem)}>{APP_WORDS.signOut}</Button>
    </>
  );
}

function SoundSwitch() {
  const sound = useSound();
  const words = APP_WORDS.sound;
  return (
    <p className="own-line">
      <span>
        {words.label}: {words[sound]}
      </span>
      <Button onPress={() => setMuted(sound !== 'muted')}>{sound === 'muted' ? words.unmute : words.mute}</Button>
    </p>
  );
}

function LocaleSwitch() {
  return (
    <label className="own-line">
      {APP_WORDS.locale}
      <select value={LOCALE ?? ''} onChange={({ target }) => setLocale(LOCALES.find((each) => each === target.value))}>
        <option value="">{APP_WORDS.localeOfBrowser}</option>
        {LOCALES.map((each) => (
          <option key={each} value={each}>
            {localeInWords(each)}
          </option>
        ))}
      </select>
    </label>
  );
}

function ThemeSwitch() {
  const theme = useTheme();
  return (
    <label className="own-line">
      {APP_WORDS.theme}
      <select value={theme} onChange={({ target }) => setTheme(target.value as Theme)}>
        {THEMES.map((each) => (
          <option key={each} value={each}>
            {APP_WORDS.themes[each]}
          </option>
        ))}
      </select>
    </label>
  );
}
