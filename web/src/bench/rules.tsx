import type { ItemView, RuleView } from '../api/views.ts';
import { Words } from '../parts/fraction.tsx';
import type { Unit } from '../rulebook/rulebook.ts';
import { choiceName, ruleName, t } from '../words/words.ts';
import { finest, print } from './printed.tsx';

/** The house rules in force at this item, and who set each. */
export function HouseRulesHere(props: { view: ItemView }) {
  const { rules, unit } = props.view;
  // Those someone set for this house come first: they are the ones to know.
  const sorted = [...rules].sort(
    (a, b) => Number(a.origin === 'built_in') - Number(b.origin === 'built_in'),
  );
  return (
    <table class="rules">
      <caption class="unseen">{t('more.rules')}</caption>
      <thead>
        <tr>
          <th scope="col">{t('rules.rule')}</th>
          <th scope="col">{t('rules.value')}</th>
          <th scope="col">{t('rules.from')}</th>
        </tr>
      </thead>
      <tbody>
        {sorted.map((rule) => (
          <tr key={rule.key} class={rule.origin === 'built_in' ? '' : 'rule-set'}>
            <th scope="row">{ruleName(rule.key)}</th>
            <td class="number">
              <Words>{ruleValue(rule, unit)}</Words>
            </td>
            <td>{t(`rules.from.${rule.origin}`)}</td>
          </tr>
        ))}
      </tbody>
    </table>
  );
}

export function ruleValue(
  rule: Pick<RuleView, 'key' | 'kind' | 'value' | 'choice'>,
  unit: Unit,
): string {
  switch (rule.kind) {
    case 'length':
      return print(rule.value, unit, finest[unit]) || '…';
    case 'percent':
      return `${rule.value} %`;
    case 'minutes':
      return rule.value % 60 === 0
        ? t('rules.hours', { count: rule.value / 60 })
        : t('rules.minutes', { count: rule.value });
    case 'choice':
      return choiceName(rule.key, rule.choice ?? String(rule.value));
    case 'count':
      return String(rule.value);
  }
}
