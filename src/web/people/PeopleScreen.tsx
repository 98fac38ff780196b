import { useQuery } from '@tanstack/react-query';
import { useState } from 'react';
import { holdsText, personTexts } from '../../core/find/lists.js';
import { atBench } from '../../core/people/roles.js';
import { useText } from '../app/router.js';
import { useSession } from '../app/session.js';
import { api, got } from '../api.js';
import type { Person } from '../api.paths.js';
import { Button } from '../parts/Button.js';
import { csvOf, Export } from '../parts/Export.js';
import { Finder } from '../parts/Finder.js';
import { Page, Part, Tag, Waiting } from '../parts/Page.js';
import { useBeat } from '../parts/ticker.js';
import { Devices } from './Devices.js';
import './people.css';
import { EndBadgeSheet, GiveBadgeSheet } from './badge-sheets.js';
import { AbleSheet, AddSheet, PasswordSheet, RoleSheet } from './sheets.js';
import { PEOPLE as words } from './words.js';

/** Accounts of people and tokens of devices. */
export default function PeopleScreen() {
  const { may } = useSession();
  const keeps = may('administrator');
  const { data, error, refetch } = useQuery({ queryKey: ['people'], queryFn: () => got(api.GET('/api/people')) });
  const [adding, setAdding] = useState(false);
  const [wanted, setWanted] = useText('find');
  const found = (data ?? []).filter((person) => holdsText(wanted, personTexts(person)));
  const sorted = found.sort((a, b) => Number(a.disabled) - Number(b.disabled) || a.name.localeCompare(b.name));
  return (
    <Page
      title={words.title}
      about={<p>{words.about}</p>}
      ways={
        <>
          {keeps && <Button onPress={() => setAdding(true)}>{words.add.open}</Button>}
          {may('administrator', 'director', 'manager') && (
            <Export files={[csvOf('people/list.csv', { find: wanted })]} />
          )}
        </>
      }
    >
      <Part title={words.people} {...(!keeps && { about: words.readOnly })}>
        {!data && <Waiting error={error} onRetry={() => void refetch()} />}
        {data && <Finder label={words.find} text={wanted} onText={setWanted} found={found.length} all={data.length} />}
        <ul className="lines">
          {sorted.map((person) => (
            <li key={person.id} className="person">
              <PersonLine person={person} keeps={keeps} />
            </li>
          ))}
        </ul>
      </Part>
      {keeps && <Devices />}
      {adding && <AddSheet onClose={() => setAdding(false)} />}
    </Page>
  );
}

function PersonLine({ person, keeps }: { person: Person; keeps: boolean }) {
  const { format, may, person: own } = useSession();
  const [asked, setAsked] = useState<'roles' | 'password' | 'able' | 'badge' | 'no badge' | null>(null);
  const { lockedUntil } = person;
  const locked = useBeat(({ at }) => lockedUntil !== null && lockedUntil > at);
  const badgeable = !person.disabled && atBench(person.roles).length > 0;
  const close = (): void => setAsked(null);
  return (
    <>
      <div>
        <p className="person-name">
          {person.name} {person.id === own.id && <span className="small">({words.you})</span>}
        </p>
        <p className="small">
          {words.login} <code>{person.login}</code>
        </p>
      </div>
      <p className="tag-line">
        {person.badgeSince !== null && <Tag frame="soft">{words.badge.since(format.day(person.badgeSince))}</Tag>}
        {person.badgeWithoutPin && <Tag frame="double">{words.badge.withoutPin}</Tag>}
        {person.disabled && <Tag frame="full">{words.disabled}</Tag>}
        {locked && lockedUntil !== null && <Tag frame="double">{words.locked(format.dayAndClock(lockedUntil))}</Tag>}
        {person.roles.map((role) => (
          <Tag key={role} frame={person.disabled ? 'soft' : 'plain'}>
            {words.roles[role].name}
          </Tag>
        ))}
      </p>
      <div className="row-ways person-ways">
        {badgeable && may('administrator', 'manager') && (
          <Button aria-label={`${words.badge.giving.open}: ${person.name}`} onPress={() => setAsked('badge')}>
            {words.badge.giving.open}
          </Button>
        )}
        {person.badgeSince !== null && may('administrator', 'manager') && (
          <Button look="quiet" aria-label={`${words.badge.end}: ${person.name}`} onPress={() => setAsked('no badge')}>
            {words.badge.end}
          </Button>
        )}
        {keeps && (
          <>
            <Button aria-label={`${words.roleSheet.open}: ${person.name}`} onPress={() => setAsked('roles')}>
              {words.roleSheet.open}
            </Button>
            <Button aria-label={`${words.password.open}: ${person.name}`} onPress={() => setAsked('password')}>
              {words.password.open}
            </Button>
            <Button
              look="quiet"
              aria-label={`${person.disabled ? words.able.enable : words.able.disable}: ${person.name}`}
              onPress={() => setAsked('able')}
            >
              {person.disabled ? words.able.enable : words.able.disable}
            </Button>
          </>
        )}
      </div>
      {asked === 'roles' && <RoleSheet person={person} onClose={close} />}
      {asked === 'password' && <PasswordSheet person={person} onClose={close} />}
      {asked === 'able' && <AbleSheet person={person} onClose={close} />}
      {asked === 'badge' && <GiveBadgeSheet person={person} onClose={close} />}
      {asked === 'no badge' && <EndBadgeSheet person={person} onClose={close} />}
    </>
  );
}
