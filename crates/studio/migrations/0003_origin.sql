-- The file that a take was sent in as, as JSON; null for what was recorded here.
alter table take add column origin text;
