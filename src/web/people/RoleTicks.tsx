import { ROLES, type Role, rolesFault } from '../../core/people/roles.js';
import { Tick } from '../parts/Choice.js';
import { PEOPLE } from './words.js';

/** The roles of one person or device, with what does not go together said at once. */
export function RoleTicks({
  label,
  roles,
  onChange,
}: {
  label: string;
  roles: readonly Role[];
  onChange: (roles: Role[]) => void;
}) {
  const fault = roles.length > 0 ? rolesFault(roles) : null;
  return (
    <fieldset className="roles">
      <legend>{label}</legend>
      <p className="field-help">{PEOPLE.add.rolesHelp}</p>
      <div className="choice-options">
        {ROLES.map((role) => (
          <Tick
            key={role}
            on={roles.includes(role)}
            onChange={(on) => onChange(on ? [...roles, role] : roles.filter((each) => each !== role))}
          >
            <span className="choice-name">{PEOPLE.roles[role].name}</span>
            <span className="choice-more">{PEOPLE.roles[role].more}</span>
          </Tick>
        ))}
      </div>
      {fault !== null && (
        <p className="field-error" role="alert">
          {fault}
        </p>
      )}
    </fieldset>
  );
}
