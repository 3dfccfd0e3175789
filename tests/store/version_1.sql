-- A store of version 1, as SQLite writes it out; times and names are invented.
CREATE TABLE kitplan_plans (
        id VARCHAR(32) NOT NULL PRIMARY KEY,
        name VARCHAR(200) NOT NULL,
        name_key VARCHAR(600) NOT NULL,
        created_at VARCHAR(32) NOT NULL,
        deleted_at VARCHAR(32)
    );
INSERT INTO "kitplan_plans" VALUES('00000000000000a1','Street oaks','street oaks','2026-03-01T08:00:00.000000+00:00',NULL);
INSERT INTO "kitplan_plans" VALUES('00000000000000b2','Old park','old park','2026-03-02T08:00:00.000000+00:00','2026-03-03T08:00:00.000000+00:00');
CREATE TABLE kitplan_revisions (
        plan_id VARCHAR(32) NOT NULL REFERENCES kitplan_plans (id),
        number INTEGER NOT NULL,
        parent INTEGER,
        what VARCHAR(200) NOT NULL,
        session VARCHAR(100) NOT NULL,
        saved_at VARCHAR(32) NOT NULL,
        PRIMARY KEY (plan_id, number),
        FOREIGN KEY (plan_id, parent) REFERENCES kitplan_revisions (plan_id, number)
    );
INSERT INTO "kitplan_revisions" VALUES('00000000000000a1',1,NULL,'edit 1','window','2026-03-01T08:01:00.000000+00:00');
INSERT INTO "kitplan_revisions" VALUES('00000000000000a1',2,1,'edit 2','window','2026-03-01T08:02:00.000000+00:00');
INSERT INTO "kitplan_revisions" VALUES('00000000000000a1',3,2,'edit 3','window','2026-03-01T08:03:00.000000+00:00');
INSERT INTO "kitplan_revisions" VALUES('00000000000000a1',4,2,'edit 4','window','2026-03-01T08:04:00.000000+00:00');
INSERT INTO "kitplan_revisions" VALUES('00000000000000b2',1,NULL,'new plan','window','2026-03-02T08:00:00.000000+00:00');
CREATE TABLE kitplan_blobs (
        sha256 VARCHAR(64) NOT NULL PRIMARY KEY,
        content BLOB NOT NULL
    );
INSERT INTO "kitplan_blobs" VALUES('abf4a4848983c2fbeedaf7b1a921755ff8cf56160f43ca49c20b3d5e1340254a',X'789CAB56CA4BCC4D55B2520A2E294A4D2D51C84FCC2E56AA050055CF07A1');
INSERT INTO "kitplan_blobs" VALUES('4f53cda18c2baa0c0354bb5f9a3ecbe5ed12ab4d8e11ba873c2f11161202b945',X'789C8B8E0500011500B9');
INSERT INTO "kitplan_blobs" VALUES('5d62b789849b07bd365d05072f2f7da7f59b31bebffa502a3cd2b29081ecdb01',X'789C8BAE56CACA4F52B252CAC9CC4D2A56D2512ACE482C4A55B232D033AD8D05008B840915');
INSERT INTO "kitplan_blobs" VALUES('80a4dc04cf4824838ca671d610ef558404dac59c95f3c82869c63f5364823d67',X'789C8BAE56CACA4F52B252CAC9CC4D2A56D2512ACE482C4A55B232D033AB8D05008B870916');
INSERT INTO "kitplan_blobs" VALUES('9b2026e830fb9ddb27da90fe8fbcca4f1c014ef067f05d90a8bf8a5e6727a978',X'789C8BAE56CACA4F52B252CAC9CC4D2A56D2512ACE482C4A55B232D033AF8D05008B8A0917');
CREATE TABLE kitplan_contents (
        plan_id VARCHAR(32) NOT NULL,
        number INTEGER NOT NULL,
        document VARCHAR(100) NOT NULL,
        sha256 VARCHAR(64) NOT NULL REFERENCES kitplan_blobs (sha256),
        PRIMARY KEY (plan_id, number, document),
        FOREIGN KEY (plan_id, number) REFERENCES kitplan_revisions (plan_id, number)
    ) WITHOUT ROWID;
INSERT INTO "kitplan_contents" VALUES('00000000000000a1',1,'settings','abf4a4848983c2fbeedaf7b1a921755ff8cf56160f43ca49c20b3d5e1340254a');
INSERT INTO "kitplan_contents" VALUES('00000000000000a1',1,'work','4f53cda18c2baa0c0354bb5f9a3ecbe5ed12ab4d8e11ba873c2f11161202b945');
INSERT INTO "kitplan_contents" VALUES('00000000000000a1',2,'settings','abf4a4848983c2fbeedaf7b1a921755ff8cf56160f43ca49c20b3d5e1340254a');
INSERT INTO "kitplan_contents" VALUES('00000000000000a1',2,'work','5d62b789849b07bd365d05072f2f7da7f59b31bebffa502a3cd2b29081ecdb01');
INSERT INTO "kitplan_contents" VALUES('00000000000000a1',3,'settings','abf4a4848983c2fbeedaf7b1a921755ff8cf56160f43ca49c20b3d5e1340254a');
INSERT INTO "kitplan_contents" VALUES('00000000000000a1',3,'work','80a4dc04cf4824838ca671d610ef558404dac59c95f3c82869c63f5364823d67');
INSERT INTO "kitplan_contents" VALUES('00000000000000a1',4,'settings','abf4a4848983c2fbeedaf7b1a921755ff8cf56160f43ca49c20b3d5e1340254a');
INSERT INTO "kitplan_contents" VALUES('00000000000000a1',4,'work','9b2026e830fb9ddb27da90fe8fbcca4f1c014ef067f05d90a8bf8a5e6727a978');
INSERT INTO "kitplan_contents" VALUES('00000000000000b2',1,'settings','abf4a4848983c2fbeedaf7b1a921755ff8cf56160f43ca49c20b3d5e1340254a');
CREATE TABLE kitplan_heads (
        plan_id VARCHAR(32) NOT NULL PRIMARY KEY REFERENCES kitplan_plans (id),
        number INTEGER NOT NULL,
        FOREIGN KEY (plan_id, number) REFERENCES kitplan_revisions (plan_id, number)
    );
INSERT INTO "kitplan_heads" VALUES('00000000000000a1',2);
INSERT INTO "kitplan_heads" VALUES('00000000000000b2',1);
CREATE TABLE kitplan_version (version INTEGER NOT NULL);
INSERT INTO "kitplan_version" VALUES(1);
CREATE UNIQUE INDEX kitplan_one_name ON kitplan_plans (name_key) WHERE deleted_at IS NULL;
