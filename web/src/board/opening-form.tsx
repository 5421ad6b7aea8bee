import type { ComponentChildren } from 'preact';
import { useState } from 'preact/hooks';
import { Button } from '../parts/button.tsx';
import { Choice } from '../parts/choice.tsx';
import { Field } from '../parts/field.tsx';
import { session } from '../sign-in/session.ts';
import { t } from '../words/words.ts';
import { Drawn } from './drawn.tsx';
import { LengthChoice } from './length-choice.tsx';
import { CasingDrawing, KindDrawing, SwingDrawing } from './opening-drawings.tsx';
import {
  type CasingChange,
  change,
  changeCasing,
  changeKind,
  type Draft,
  type Face,
  kinds,
  type NominalSize,
  nominal,
  type OpeningKind,
  swings,
  type Unit,
} from './opening-spec.ts';
import { WoodChoice } from './wood-choice.tsx';
import './opening.css';

export interface OpeningFormProps {
  readonly draft: Draft | null;
  /** A new opening's kind; without it the kind of the draft is changed. */
  readonly onKind?: (kind: OpeningKind) => void;
  readonly onChange: (draft: Draft) => void;
  /** The job's unit, where the person's own is not known. */
  readonly unit: 'in' | 'mm';
  readonly sending: boolean;
  readonly send: string;
  readonly onSend: () => void;
  readonly also?: { readonly label: string; readonly onPress: () => void };
  readonly children?: ComponentChildren;
}

type LengthField = Exclude<
  {
    [K in keyof Unit]-?: NonNullable<Unit[K]> extends number ? K : never;
  }[keyof Unit],
  'panels' | 'return_air'
>;

/** The opening in the order it is thought of: what it is, how wide, how it hangs; then the rest. */
export function OpeningForm(props: OpeningFormProps) {
  const { draft, onChange } = props;
  const [more, setMore] = useState(false);
  const now = session.value;
  const unit = now.state === 'in' ? now.me.unit : props.unit;
  const kind = draft?.spec.unit.kind;
  const onKind =
    props.onKind ??
    ((next: OpeningKind) => {
      if (draft !== null) onChange(changeKind(draft, next));
    });
  return (
    <div class="opening">
      <div class="opening-asked">
        <fieldset class="kinds">
          <legend class="picks-label">{t('opening.kind')}</legend>
          <div class="kinds-row">
            {kinds.map((each) => (
              <button
                key={each}
                type="button"
                class="kind"
                aria-pressed={kind === each}
                onClick={() => onKind(each)}
              >
                <KindDrawing kind={each} />
                <span>{t(`opening.kind.${each}`)}</span>
              </button>
            ))}
          </div>
        </fieldset>
        {draft !== null && (
          <>
            <Sizes draft={draft} unit={unit} onChange={onChange} />
            <Field
              label={t('opening.nameLabel')}
              value={draft.name}
              onInput={(name) => onChange({ ...draft, name })}
            />
            <div class="opening-send">
              <Button
                kind="main"
                disabled={props.sending || draft.name.trim() === ''}
                onPress={props.onSend}
              >
                {props.send}
              </Button>
              {props.also !== undefined && (
                <Button
                  disabled={props.sending || draft.name.trim() === ''}
                  onPress={props.also.onPress}
                >
                  {props.also.label}
                </Button>
              )}
            </div>
            {props.children}
            <Button kind="quiet" expanded={more} onPress={() => setMore(!more)}>
              {t('opening.more')}
            </Button>
            {more && <Rest draft={draft} unit={unit} onChange={onChange} />}
          </>
        )}
        {draft === null && props.children}
      </div>
      {draft !== null && <Drawn draft={draft} />}
    </div>
  );
}

interface PartProps {
  readonly draft: Draft;
  readonly unit: 'in' | 'mm';
  readonly onChange: (draft: Draft) => void;
}

/** The few things every opening of its kind is asked. */
function Sizes({ draft, unit, onChange }: PartProps) {
  const { kind, hinge_on, swings_to } = draft.spec.unit;
  const hasSlab = kind !== 'cased_opening' && kind !== 'window';
  const pick = picker({ draft, unit, onChange });
  return (
    <>
      {hasSlab && pick('slab_width', 'slab_width', kind === 'door' ? 'slab_width' : 'slab_each')}
      {hasSlab && pick('slab_height', 'slab_height', 'slab_height')}
      {kind === 'window' && pick('slab_width', 'window_width', 'window_width')}
      {kind === 'window' && pick('slab_height', 'window_height', 'window_height')}
      {(kind === 'door' || kind === 'pair') && (
        <fieldset class="swings">
          <legend class="picks-label">{t('opening.swing')}</legend>
          <div class="swings-row">
            {swings.map((swing) => (
              <button
                key={`${swing.hinge}-${swing.to}`}
                type="button"
                class="swing"
                aria-pressed={hinge_on === swing.hinge && swings_to === swing.to}
                aria-label={t(`opening.swing.${swing.hinge}.${swing.to}`)}
                onClick={() =>
                  onChange(change(draft, { hinge_on: swing.hinge, swings_to: swing.to }))
                }
              >
                <SwingDrawing swing={swing} />
              </button>
            ))}
          </div>
          <p class="picks-hint">{t('opening.swing.hint')}</p>
        </fieldset>
      )}
      {kind === 'window' && (
        <Choice
          label={t('opening.surround')}
          labelShown
          value={draft.spec.unit.surround ?? null}
          options={[
            { value: 'picture_frame', label: t('opening.surround.picture_frame') },
            { value: 'stool_apron', label: t('opening.surround.stool_apron') },
          ]}
          onChoose={(surround) => onChange(change(draft, { surround }))}
        />
      )}
      {(kind === 'bifold' || kind === 'bypass') && (
        <Choice
          label={t('opening.panels')}
          labelShown
          value={String(draft.spec.unit.panels ?? '')}
          options={(kind === 'bifold' ? ['2', '4'] : ['2', '3', '4']).map((value) => ({
            value,
            label: value,
          }))}
          onChoose={(panels) => onChange(change(draft, { panels: Number(panels) }))}
        />
      )}
    </>
  );
}

/** Everything that has a good answer already. */
function Rest(props: PartProps) {
  const { draft, onChange } = props;
  const { unit } = draft.spec;
  const { kind } = unit;
  const pick = picker(props);
  const slab = kind !== 'cased_opening' && kind !== 'window';
  const frame = kind !== 'window' && kind !== 'bifold' && kind !== 'bypass';
  const tick = (key: 'exit' | 'accessible' | 'extension_jambs') => (
    <Box
      label={t(`opening.${key}`)}
      on={unit[key] === true}
      onTurn={(on) => onChange(change(draft, { [key]: on }))}
    />
  );
  return (
    <div class="opening-rest">
      {slab && (
        <Choice
          label={t('opening.core')}
          labelShown
          value={unit.core ?? null}
          options={(['hollow', 'solid', 'stile_and_rail', 'fire_rated'] as const).map((value) => ({
            value,
            label: t(`opening.core.${value}`),
          }))}
          onChoose={(core) => onChange(change(draft, { core }))}
        />
      )}
      {unit.core === 'fire_rated' && (
        <Field
          label={t('opening.fire_label')}
          hint={t('opening.fire_label.hint')}
          value={unit.fire_label ?? ''}
          onInput={(fire_label) => onChange(change(draft, { fire_label }))}
        />
      )}
      <Choice
        label={t('opening.grade')}
        labelShown
        value={unit.grade}
        options={(['paint', 'stain'] as const).map((value) => ({
          value,
          label: t(`opening.grade.${value}`),
        }))}
        onChoose={(grade) => onChange(change(draft, { grade }))}
      />
      {slab && pick('slab_thickness', 'slab_thickness', 'slab_thickness')}
      {frame && pick('jamb_thickness', 'jamb_thickness', 'jamb_thickness')}
      {frame && pick('jamb_width', 'jamb_width', 'jamb_width')}
      {frame && pick('head_thickness', 'jamb_thickness', 'head_thickness')}
      {frame && pick('leg_length', 'leg_length', 'leg_length', t('opening.cutFromStock'))}
      {kind === 'door' && pick('stop_thickness', 'stop_thickness', 'stop_thickness')}
      {kind === 'pocket' && pick('frame_width', null, 'frame_width', t('opening.notSaid'))}
      {(kind === 'pocket' || kind === 'bypass') && pick('lap', null, 'lap', t('opening.notSaid'))}
      {kind === 'bifold' && pick('width_allowance', null, 'width_allowance', t('opening.notSaid'))}
      {(kind === 'pocket' || kind === 'bifold' || kind === 'bypass') &&
        pick('track_allowance', null, 'track_allowance', t('opening.notSaid'))}
      {slab && <ReturnAir {...props} />}
      {kind === 'cased_opening' && pick('clear_width', null, 'clear_width', t('opening.fill'))}
      {unit.surround === 'stool_apron' && pick('horn', null, 'horn', t('opening.notSaid'))}
      {unit.surround === 'stool_apron' &&
        pick('stool_nosing', null, 'stool_nosing', t('opening.notSaid'))}
      <FaceCasing {...props} face="a" />
      {kind !== 'window' && <FaceCasing {...props} face="b" />}
      <fieldset class="boxes">
        <legend class="picks-label">{t('opening.also')}</legend>
        {slab && tick('exit')}
        {slab && tick('accessible')}
        {kind === 'window' && tick('extension_jambs')}
        <Box
          label={t('opening.above')}
          on={draft.spec.seen_from_above === true}
          onTurn={(on) => onChange(flag(draft, 'seen_from_above', on))}
        />
        <Box
          label={t('opening.prefinished')}
          on={draft.spec.prefinished === true}
          onTurn={(on) => onChange(flag(draft, 'prefinished', on))}
        />
      </fieldset>
    </div>
  );
}

/** How much air has to pass under the slab, square inches: the return of a room with no grille. */
function ReturnAir({ draft, onChange }: PartProps) {
  const wanted = draft.spec.unit.return_air ?? 0;
  const [text, setText] = useState(wanted === 0 ? '' : String(wanted));
  const area = (said: string) => (/^\d{0,4}$/.test(said.trim()) ? Number(said) : Number.NaN);
  return (
    <Field
      label={t('opening.return_air')}
      hint={t('opening.return_air.hint')}
      value={text}
      {...(area(text) <= 1000 ? {} : { refused: t('opening.return_air.refused') })}
      onInput={(said) => {
        setText(said);
        if (area(said) <= 1000) onChange(change(draft, { return_air: area(said) }));
      }}
    />
  );
}

/** The casing of one face: drawn at its corner, or none. */
function FaceCasing({ draft, unit, onChange, face }: PartProps & { face: Face }) {
  const casing = face === 'a' ? draft.spec.casing_a : draft.spec.casing_b;
  const to = (next: CasingChange) => onChange(changeCasing(draft, face, next));
  const size = (
    key: 'width' | 'thickness' | 'overhang' | 'block' | 'plinth_height',
    sizes: NominalSize,
    none?: string,
  ) => (
    <LengthChoice
      label={t(`opening.casing.${key}`)}
      unit={unit}
      value={casing?.[key]}
      sizes={nominal[unit][sizes]}
      {...(none === undefined ? {} : { none })}
      onChoose={(nm) => to({ [key]: nm ?? 0 })}
    />
  );
  return (
    <fieldset class="casing">
      <legend class="picks-label">{t(`opening.casing.${face}`)}</legend>
      <div class="casing-row">
        {(['mitered', 'butt_head', 'corner_blocks', 'none'] as const).map((style) => (
          <button
            key={style}
            type="button"
            class="kind"
            aria-pressed={(casing?.style ?? 'none') === style}
            onClick={() =>
              style === 'none' ? onChange(changeCasing(draft, face, null)) : to({ style })
            }
          >
            <CasingDrawing style={style} />
            <span>{t(`opening.casing.style.${style}`)}</span>
          </button>
        ))}
      </div>
      {casing !== undefined && (
        <div class="casing-sizes">
          {size('width', 'casing_width')}
          {size('thickness', 'casing_thickness')}
          {casing.style === 'butt_head' && size('overhang', 'overhang', t('opening.flush'))}
          {casing.style === 'corner_blocks' && size('block', 'block')}
          {casing.style === 'corner_blocks' &&
            size('plinth_height', 'plinth_height', t('opening.noPlinth'))}
          <WoodChoice label={t('opening.casing.material')} wood={casing} onChoose={to} />
        </div>
      )}
    </fieldset>
  );
}

function Box(props: { label: string; on: boolean; onTurn: (on: boolean) => void }) {
  return (
    <label class="box">
      <input
        type="checkbox"
        checked={props.on}
        onChange={(event) => props.onTurn(event.currentTarget.checked)}
      />
      <svg class="box-drawing" viewBox="0 0 24 24" aria-hidden="true">
        <path class="box-lines" d="M2 5H22M2 19H22M5 2V22M19 2V22" />
        <path class="box-tick" d="M8 12L12 17L20 4" />
      </svg>
      <span>{props.label}</span>
    </label>
  );
}

function picker({ draft, unit, onChange }: PartProps) {
  return (
    field: LengthField,
    sizes: NominalSize | null,
    words: `${LengthField}` | 'slab_each' | 'window_width' | 'window_height',
    none?: string,
  ) => (
    <LengthChoice
      label={t(`opening.size.${words}` as 'opening.size.slab_width')}
      unit={unit}
      value={draft.spec.unit[field]}
      sizes={sizes === null ? [] : nominal[unit][sizes]}
      {...(none === undefined ? {} : { none })}
      onChoose={(nm) => onChange(change(draft, { [field]: nm ?? 0 }))}
    />
  );
}

function flag(draft: Draft, key: 'seen_from_above' | 'prefinished', on: boolean): Draft {
  const { [key]: _, ...rest } = draft.spec;
  return { ...draft, spec: on ? { ...rest, [key]: true } : rest };
}
