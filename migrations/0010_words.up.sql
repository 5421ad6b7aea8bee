-- What people look for by words: one way to make words of a text, and a short index of the entries that hold any.
--
-- Why so:
--   case and accents do not count, nor does the language: half the words on a job are names, and one house is worked on
--   in two languages. So the configuration is 'simple', over text without accents.
--   there is no index of the words themselves. Row-level security keeps @@ from using one (it is not leakproof, so no row
--   is matched before the policy has let it through). A company's rows are found by its key and then matched: the
--   partial index leads to the entries that hold words, a tenth of a log.
--
-- Roll-out: an index and two functions; yesterday's program runs on. Building the index reads entries once and holds
-- off writes meanwhile. Way back: drops them.

create function plain_words(said text) returns text
    language sql immutable parallel safe set search_path = pg_catalog, pg_temp
as $$
    select translate(lower(said),
        'áéíóúüñàèìòùâêîôûäëïöçÁÉÍÓÚÜÑ!"#$%&()*+,-./:;<=>?@[]^_`{|}~×–—¿¡’“”''\\',
        'aeiouunaeiouaeiouaeiocaeiouun' || repeat(' ', 42))
$$;

-- What a person wrote in an entry's command, whatever its kind.
create function written_words(command jsonb) returns text
    language sql immutable parallel safe set search_path = pg_catalog, pg_temp
as $$
    select concat_ws(' ',
        command #>> '{note,text}',
        command #>> '{withdraw,reason}',
        command #>> '{reopen_stage,reason}',
        command #>> '{pass_stop,reason}',
        command #>> '{remove_item,reason}',
        command #>> '{miscut,reason}',
        command #>> '{say_remark,text}',
        command #>> '{move_remark,text}',
        command #>> '{close_walk,reason}',
        command #>> '{add_photo,caption}',
        command #>> '{log_coat,product}',
        command #>> '{set_product,name}',
        command #>> '{return_offcut,place}',
        command #>> '{sign_off,name}')
$$;

create index entries_with_words on entries (company_id, job_id, seq)
    where kind in ('note', 'withdraw', 'reopen_stage', 'pass_stop', 'remove_item', 'miscut', 'say_remark', 'move_remark', 'close_walk',
        'add_photo', 'log_coat', 'set_product', 'return_offcut', 'sign_off');

-- A log is read backward, by who did it and where, too.
create index entries_by_person on entries (company_id, job_id, person_id, seq);
create index entries_by_room on entries (company_id, job_id, room_id, seq) where room_id is not null;

grant execute on function plain_words(text), written_words(jsonb) to longpoint_app;
