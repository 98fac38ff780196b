import { QueryClient, QueryClientProvider } from '@tanstack/react-query';
import { Component, type ReactNode, Suspense, useEffect } from 'react';
import { RouterProvider } from 'react-aria-components';
import { Problem } from '../api.js';
import { Announcer } from '../parts/announce.js';
import { Button } from '../parts/Button.js';
import { Notices } from '../parts/notices.js';
import { Here, Opens } from '../parts/opens.js';
import { match } from './match.js';
import { navigate, usePath } from './router.js';
import { isFor, REVIEW_HOME, type Screen, type ScreenProps } from './screen.js';
import { canOpen, SCREENS } from './screens.js';
import { SessionGate, useSession } from './session.js';
import { SetUp } from './SetUp.js';
import { Shell, useTruth } from './Shell.js';
import { APP_WORDS } from './words.js';

const queries = new QueryClient({
  defaultOptions: {
    queries: {
      // The live feed says what changed; until then what was fetched is true.
      staleTime: 60_000,
      networkMode: 'always',
      retry: (tries, problem) => problem instanceof Problem && problem.passing && tries < 5,
    },
  },
});

export function App() {
  return (
    <QueryClientProvider client={queries}>
      <RouterProvider navigate={navigate}>
        <Safety>
          <Entrance />
        </Safety>
        <Notices />
        <Announcer />
      </RouterProvider>
    </QueryClientProvider>
  );
}

function Entrance() {
  const path = usePath();
  // After the number sign, so that the token reaches no log.
  if (path === '/setup') return <SetUp token={location.hash.slice(1)} />;
  return (
    <SessionGate>
      <Place path={path} />
    </SessionGate>
  );
}

function Place({ path }: { path: string }) {
  useTruth();
  const { may } = useSession();
  const home = path === '/' && may('reviewer');
  useEffect(() => {
    if (home) navigate(REVIEW_HOME, 'replace');
  }, [home]);
  const found = findScreen(home ? REVIEW_HOME : path);
  if (!found) return <Shell>{says(APP_WORDS.noSuchScreen, APP_WORDS.noSuchScreenHelp)}</Shell>;
  const { screen, props } = found;
  if (!isFor(screen, may)) return <Shell>{says(APP_WORDS.notForYou, APP_WORDS.notForYouHelp)}</Shell>;
  const content = (
    <Suspense fallback={<p className="opening">{APP_WORDS.opening}</p>}>
      <title>{`${screen.title} · ${APP_WORDS.product}`}</title>
      <screen.screen key={screen.path} {...props} />
    </Suspense>
  );
  const opens = (href: string): boolean => canOpen(href, may);
  return (
    <Opens value={opens}>
      <Here value={screen.path}>{screen.bare ? content : <Shell>{content}</Shell>}</Here>
    </Opens>
  );
}

function findScreen(path: string): { screen: Screen; props: ScreenProps } | null {
  for (const screen of SCREENS) {
    const props = match(screen.path, path);
    if (props) return { screen, props };
  }
  return null;
}

function says(title: string, help: string): ReactNode {
  return (
    <div className="says">
      <h1>{title}</h1>
      <p>{help}</p>
    </div>
  );
}

/** Says what to do when a page breaks off, instead of leaving it white. */
class Safety extends Component<{ children: ReactNode }, { broken: boolean }> {
  override state = { broken: false };

  static getDerivedStateFromError(): { broken: boolean } {
    return { broken: true };
  }

  override render(): ReactNode {
    if (!this.state.broken) return this.props.children;
    return (
      <main className="lone" role="alert">
        <h1>{APP_WORDS.broken}</h1>
        <p>{APP_WORDS.brokenHelp}</p>
        <Button look="main" onPress={() => location.reload()}>
          {APP_WORDS.reload}
        </Button>
      </main>
    );
  }
}
