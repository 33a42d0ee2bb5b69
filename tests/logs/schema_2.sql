PRAGMA application_id = 1651993715;
PRAGMA user_version = 2;
BEGIN TRANSACTION;
CREATE TABLE act (
            id INTEGER PRIMARY KEY,
            container INTEGER NOT NULL REFERENCES container (id),
            entered_at TEXT NOT NULL,
            corrects INTEGER REFERENCES act (id)
        ) STRICT;
INSERT INTO "act" VALUES(1,1,'2026-04-01 09:00:00',NULL);
CREATE TABLE container (
            id INTEGER PRIMARY KEY,
            name TEXT NOT NULL UNIQUE CHECK (name <> '')
        ) STRICT;
INSERT INTO "container" VALUES(1,'wheel-room-bowl');
CREATE TABLE description (
            id INTEGER PRIMARY KEY,
            container INTEGER NOT NULL REFERENCES container (id),
            entered_at TEXT NOT NULL,
            about TEXT NOT NULL,
            content TEXT NOT NULL CHECK (json_valid(content))
        ) STRICT;
INSERT INTO "description" VALUES(1,1,'2026-04-01 09:00:00','2026-04-01 09:00:00','{"container": {"planting": "dense", "volume": "8 L"}}');
CREATE TABLE entry (
            id INTEGER PRIMARY KEY,
            act INTEGER NOT NULL REFERENCES act (id),
            kind TEXT NOT NULL
                CHECK (kind IN ('reading', 'event', 'count', 'death', 'sign', 'note')),
            about TEXT,
            content TEXT NOT NULL CHECK (json_valid(content)),
            words TEXT NOT NULL
        ) STRICT;
INSERT INTO "entry" VALUES(1,1,'reading','2026-04-01 09:00:00','{"as": "N", "value": "0 mg/L", "what": "nitrite"}','');
CREATE TABLE mapping (
            id INTEGER PRIMARY KEY,
            header TEXT NOT NULL,
            entered_at TEXT NOT NULL,
            holds TEXT NOT NULL CHECK (json_valid(holds))
        ) STRICT;
CREATE INDEX act_of_container ON act (container);
CREATE UNIQUE INDEX corrected_once ON act (corrects) WHERE corrects IS NOT NULL;
CREATE INDEX entry_of_act ON entry (act);
CREATE TRIGGER container_stays_update BEFORE UPDATE ON container BEGIN SELECT RAISE(ABORT, 'a log is only added to'); END;
CREATE TRIGGER container_stays_delete BEFORE DELETE ON container BEGIN SELECT RAISE(ABORT, 'a log is only added to'); END;
CREATE TRIGGER description_stays_update BEFORE UPDATE ON description BEGIN SELECT RAISE(ABORT, 'a log is only added to'); END;
CREATE TRIGGER description_stays_delete BEFORE DELETE ON description BEGIN SELECT RAISE(ABORT, 'a log is only added to'); END;
CREATE TRIGGER act_stays_update BEFORE UPDATE ON act BEGIN SELECT RAISE(ABORT, 'a log is only added to'); END;
CREATE TRIGGER act_stays_delete BEFORE DELETE ON act BEGIN SELECT RAISE(ABORT, 'a log is only added to'); END;
CREATE TRIGGER entry_stays_update BEFORE UPDATE ON entry BEGIN SELECT RAISE(ABORT, 'a log is only added to'); END;
CREATE TRIGGER entry_stays_delete BEFORE DELETE ON entry BEGIN SELECT RAISE(ABORT, 'a log is only added to'); END;
CREATE TRIGGER mapping_stays_update BEFORE UPDATE ON mapping BEGIN SELECT RAISE(ABORT, 'a log is only added to'); END;
CREATE TRIGGER mapping_stays_delete BEFORE DELETE ON mapping BEGIN SELECT RAISE(ABORT, 'a log is only added to'); END;
COMMIT;
