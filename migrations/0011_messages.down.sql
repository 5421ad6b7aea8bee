drop function messages_take(timestamptz, integer, timestamptz);
drop table messages, walk_contacts;
