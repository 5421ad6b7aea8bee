drop index entries_by_room;
drop index entries_by_person;
drop index entries_with_words;
drop function written_words(jsonb);
drop function plain_words(text);
