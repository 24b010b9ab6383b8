-- The state of a vehicle without reading all of its entries. The second index leaves out what is frequent and does not
-- change the state by itself; its condition stands in the query too.

CREATE INDEX entry_with_odometer ON entry (vehicle, sequence)
WHERE json_extract(fields, '$.odometer') IS NOT NULL;

CREATE INDEX entry_that_matters ON entry (vehicle, sequence)
WHERE kind NOT IN ('odometer', 'evidence', 'note', 'fuel');

CREATE INDEX entry_of_vehicle ON entry (vehicle, sequence);
