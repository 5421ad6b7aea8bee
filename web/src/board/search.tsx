import { useEffect, useRef, useState } from 'preact/hooks';
import { ask } from '../api/client.ts';
import type { components } from '../api/schema.ts';
import { goTo } from '../router.ts';
import { t } from '../words/words.ts';
import { useKeys } from './keys.ts';
import { KeysSheet } from './keys-sheet.tsx';
import './search.css';

type Hit = components['schemas']['SearchHit'];

/** Where something found is: the job's board with it chosen, or the log round the entry. */
export function hrefOf(hit: Hit): string {
  const job = `/board/jobs/${hit.job_id}`;
  if (hit.kind === 'entry') {
    if (hit.item_id !== undefined) return `${job}/log?item=${hit.item_id}`;
    return hit.room_id === undefined ? `${job}/log` : `${job}/log?room=${hit.room_id}`;
  }
  if (hit.kind === 'item') return `${job}#item-${hit.item_id}`;
  return hit.kind === 'room' ? `${job}#room-${hit.room_id}` : job;
}

// Typed faster than it is asked for; a signal is not wasted on half a word.
const rest = 180;

/** Finds things in all the person's jobs, as they type; `/` comes here from anywhere on a screen. */
export function Search() {
  const [typed, setTyped] = useState('');
  const [hits, setHits] = useState<readonly Hit[] | null>(null);
  const [away, setAway] = useState(false);
  const [sheet, setSheet] = useState(false);
  const field = useRef<HTMLInputElement>(null);
  const box = useRef<HTMLElement>(null);

  useKeys({
    '/': () => field.current?.focus(),
    '?': () => setSheet(true),
  });

  useEffect(() => {
    const words = typed.trim();
    if (words === '') {
      setHits(null);
      setAway(false);
      return;
    }
    const stop = new AbortController();
    const timer = setTimeout(() => {
      ask<{ hits: Hit[] }>(`/search?q=${encodeURIComponent(words.slice(0, 200))}`, {
        signal: stop.signal,
      }).then(
        (found) => {
          if (stop.signal.aborted) return;
          setAway(false);
          setHits(found.hits);
        },
        () => {
          if (!stop.signal.aborted) setAway(true);
        },
      );
    }, rest);
    return () => {
      clearTimeout(timer);
      stop.abort();
    };
  }, [typed]);

  const close = () => {
    setTyped('');
    setHits(null);
  };

  const onKeyDown = (event: KeyboardEvent) => {
    if (event.key === 'Escape') {
      event.preventDefault();
      close();
      field.current?.focus();
      return;
    }
    const links = [...(box.current?.querySelectorAll<HTMLElement>('.search-hit') ?? [])];
    const at = links.indexOf(document.activeElement as HTMLElement);
    if (event.key === 'Enter' && event.target === field.current && hits?.[0] !== undefined) {
      event.preventDefault();
      goTo(hrefOf(hits[0]));
      close();
    } else if (event.key === 'ArrowDown' && links.length > 0) {
      event.preventDefault();
      links[Math.min(at + 1, links.length - 1)]?.focus();
    } else if (event.key === 'ArrowUp' && at >= 0) {
      event.preventDefault();
      if (at === 0) field.current?.focus();
      else links[at - 1]?.focus();
    }
  };

  return (
    <search class="search" ref={box} onKeyDown={onKeyDown}>
      <input
        ref={field}
        class="search-field"
        type="search"
        aria-label={t('search.label')}
        aria-describedby="search-said"
        placeholder={t('search.label')}
        value={typed}
        onInput={(event) => setTyped(event.currentTarget.value)}
      />
      <button
        type="button"
        class="search-keys"
        aria-label={t('keys.title')}
        onClick={() => setSheet(true)}
      >
        ?
      </button>
      <p id="search-said" class="unseen" role="status">
        {hits === null ? '' : t('search.count', { count: hits.length })}
      </p>
      {typed.trim() !== '' && (hits !== null || away) && (
        <div class="search-found">
          {away && <p class="search-none">{t('search.away')}</p>}
          {hits?.length === 0 && !away && <p class="search-none">{t('search.none')}</p>}
          {hits !== null && hits.length > 0 && (
            <ul>
              {hits.map((hit) => (
                <li key={`${hit.job_id} ${hit.kind} ${hit.item_id ?? hit.room_id} ${hit.seq ?? 0}`}>
                  <a class="search-hit" href={hrefOf(hit)} onClick={close}>
                    <span class="search-text">
                      {hit.parts.map((part, at) =>
                        part.hit ? <mark key={at}>{part.text}</mark> : part.text,
                      )}
                    </span>
                    <span class="search-where">
                      {[
                        t(`search.kind.${hit.kind}`),
                        hit.kind === 'entry' && hit.item,
                        hit.room,
                        hit.job,
                      ]
                        .filter((word) => word !== undefined && word !== false && word !== '')
                        .join(' · ')}
                    </span>
                  </a>
                </li>
              ))}
            </ul>
          )}
        </div>
      )}
      {sheet && <KeysSheet onClose={() => setSheet(false)} />}
    </search>
  );
}
