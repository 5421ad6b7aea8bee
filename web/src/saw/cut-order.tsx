import { Words } from '../parts/fraction.tsx';
import { t } from '../words/words.ts';
import type { PlanView } from './stock.ts';

/** The cuts by saw setting: the saw is set once and every stick goes through. */
export function CutOrder({ plan }: { plan: PlanView }) {
  return (
    <div class="cut-order">
      <p class="stock-proof">{t('saw.settings.how')}</p>
      {plan.stocks
        .filter(({ settings }) => settings.length > 0)
        .map((stock) => (
          <section key={stock.label} class="stock">
            <h2 class="stock-name">
              <Words>{stock.label}</Words>
            </h2>
            {stock.settings.map((setting) => (
              <div key={setting.label + (setting.lean ?? '')} class="setting">
                <h3 class="setting-name">
                  {(setting.lean !== undefined || !mitered(setting.label)) && (
                    <svg class="setting-line" viewBox="0 0 24 24" aria-hidden="true">
                      <path class="setting-fence" d="M1 3H23" />
                      <path d={lines[setting.lean ?? 'none']} />
                    </svg>
                  )}
                  <Words>{setting.label}</Words>
                  {setting.lean === undefined && mitered(setting.label) && (
                    <span class="setting-lean">{t('saw.lean.unknown')}</span>
                  )}
                  {setting.lean !== undefined && (
                    <span class="setting-lean">{t(`saw.lean.${setting.lean}`)}</span>
                  )}
                </h3>
                <ul class="setting-cuts">
                  {setting.cuts.map((cut) => (
                    <li key={`${cut.stick}-${cut.at}`} class="setting-cut">
                      <span class="stick-number number">{cut.stick}</span>
                      <span class="number">
                        <Words>{cut.text}</Words>
                      </span>
                    </li>
                  ))}
                </ul>
              </div>
            ))}
          </section>
        ))}
    </div>
  );
}

const lines = { none: 'M12 3V22', left: 'M5 3L19 22', right: 'M19 3L5 22' } as const;

/** A setting with an angle. Coped ends and crown have one, and lean as their piece lies in its corner. */
function mitered(label: string): boolean {
  return label.includes('°');
}
