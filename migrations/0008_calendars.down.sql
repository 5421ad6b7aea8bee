drop function calendar_link_find(text);
drop table calendar_links;
