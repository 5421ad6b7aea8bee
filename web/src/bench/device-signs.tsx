import { clockOff, clockOffLarge } from '../api/clock.ts';
import { keptOn, roomShort, roomUnknown } from '../live/device.ts';
import { outbox, rulesMissing } from '../live/store.ts';
import { appStays } from '../shell/stays.ts';
import { t } from '../words/words.ts';

function sayRoom(): string | null {
  const room = roomShort.value;
  if (room === null) return null;
  return t('device.room', { left: Math.max(0, Math.round(room.left / 1e6)) });
}

/** That room runs short, or that nobody can tell, where the large things are made. */
export function RoomSign() {
  const sign = sayRoom() ?? sayRoomUnknown();
  if (sign === null) return null;
  return (
    <div class="device-signs" role="status">
      <p>{sign}</p>
    </div>
  );
}

function sayRoomUnknown(): string | null {
  return roomUnknown.value ? t('device.roomUnknown') : null;
}

/**
 * What is the matter with this device, in words, where it bears on the work. Mostly nothing. `whole`
 * says what is merely not known too.
 */
export function DeviceSigns(props: { whole?: boolean }) {
  const off = clockOff.value;
  const signs = [
    outbox.lasting.value ? null : t('device.notLasting'),
    keptOn.value === 'page' ? t('device.page') : null,
    keptOn.value === 'storage' ? t('device.storage') : null,
    sayRoom(),
    props.whole === true ? sayRoomUnknown() : null,
    rulesMissing.value ? t('device.noRules') : null,
    appStays.value ? null : t('device.noApp'),
    Math.abs(off) < clockOffLarge
      ? null
      : t(off > 0 ? 'device.clockSlow' : 'device.clockFast', {
          minutes: Math.round(Math.abs(off) / 60_000),
        }),
  ].filter((sign) => sign !== null);
  if (signs.length === 0) return null;
  return (
    <div class="device-signs" role="status">
      {signs.map((sign) => (
        <p key={sign}>{sign}</p>
      ))}
    </div>
  );
}
