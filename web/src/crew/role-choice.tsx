import type { Me } from '../api/views.ts';
import { Choice } from '../parts/choice.tsx';
import { t } from '../words/words.ts';

export type Role = Me['role'];

/** What somebody is to be: nobody gives a role above their own. */
export function RoleChoice(props: { me: Me; value: Role; onChoose: (role: Role) => void }) {
  const roles: readonly Role[] =
    props.me.role === 'owner' ? ['installer', 'lead', 'owner'] : ['installer', 'lead'];
  return (
    <Choice<Role>
      label={t('people.role')}
      labelShown
      value={props.value}
      options={roles.map((role) => ({ value: role, label: t(`people.role.${role}`) }))}
      onChoose={props.onChoose}
    />
  );
}
