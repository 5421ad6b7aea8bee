drop table templates;
drop table bundles;
