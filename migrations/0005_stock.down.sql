drop table stock_plans;
drop table stock_lists;
