-- A request that is sent again finds the entry that it was answered with.

CREATE INDEX entry_of_request ON entry (json_extract(fields, '$.request'))
WHERE json_extract(fields, '$.request') IS NOT NULL;
