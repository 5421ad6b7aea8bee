drop trigger sealed_entries_stay on entries;
drop table seals;
drop function stay_sealed();
