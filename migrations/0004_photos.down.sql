-- Policies and grants go with their tables. The photo storage keeps what it has.
drop table
    photo_parts,
    photos;
