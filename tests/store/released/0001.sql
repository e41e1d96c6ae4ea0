BEGIN TRANSACTION;
CREATE TABLE answers (
	id INTEGER NOT NULL, 
	session_id TEXT NOT NULL, 
	ballot_id TEXT NOT NULL, 
	serving_id TEXT NOT NULL, 
	serving_ref TEXT, 
	question TEXT NOT NULL, 
	value TEXT NOT NULL, 
	text_digest TEXT, 
	at BIGINT NOT NULL, 
	final BOOLEAN NOT NULL, 
	sequence INTEGER, 
	CONSTRAINT pk_answers PRIMARY KEY (id), 
	CONSTRAINT ck_answers_serving_ref CHECK (coalesce(serving_ref, '') = serving_id), 
	CONSTRAINT fk_answers_ballot_id FOREIGN KEY(ballot_id) REFERENCES ballots (id), 
	CONSTRAINT fk_answers_serving_ref FOREIGN KEY(serving_ref) REFERENCES servings (id), 
	CONSTRAINT fk_answers_session_id_sequence FOREIGN KEY(session_id, sequence) REFERENCES records (session_id, sequence), 
	CONSTRAINT fk_answers_session_id FOREIGN KEY(session_id) REFERENCES sessions (id), 
	CONSTRAINT fk_answers_text_digest FOREIGN KEY(text_digest) REFERENCES personal_texts (digest)
);
INSERT INTO "answers" VALUES(1,'session','34010aad600b701e','b1ea5f58b453053e','b1ea5f58b453053e','choice','513',NULL,5000,1,3);
INSERT INTO "answers" VALUES(2,'session','34010aad600b701e','b1ea5f58b453053e','b1ea5f58b453053e','remark','','4dd6be46e300e24348b95294a729bcea590dba19a5149ad42861598c600eeddf',5000,1,4);
CREATE TABLE attempts (
	id INTEGER NOT NULL, 
	door TEXT NOT NULL, 
	ok BOOLEAN NOT NULL, 
	at BIGINT NOT NULL, 
	CONSTRAINT pk_attempts PRIMARY KEY (id)
);
CREATE TABLE ballots (
	id TEXT NOT NULL, 
	session_id TEXT NOT NULL, 
	seat INTEGER NOT NULL, 
	panelist_id TEXT, 
	issue INTEGER NOT NULL, 
	token_hash TEXT, 
	finished_at BIGINT, 
	CONSTRAINT pk_ballots PRIMARY KEY (id), 
	CONSTRAINT fk_ballots_panelist_id FOREIGN KEY(panelist_id) REFERENCES panelists (id), 
	CONSTRAINT fk_ballots_session_id FOREIGN KEY(session_id) REFERENCES sessions (id), 
	CONSTRAINT uq_ballots_session_id_seat UNIQUE (session_id, seat), 
	CONSTRAINT uq_ballots_token_hash UNIQUE (token_hash)
);
INSERT INTO "ballots" VALUES('34010aad600b701e','session',1,'person-1',1,NULL,NULL);
INSERT INTO "ballots" VALUES('2b2bf6b5a3abbf75','session',2,'person-2',1,NULL,NULL);
INSERT INTO "ballots" VALUES('26ed4db66f907f6e','session',3,'person-3',1,NULL,NULL);
INSERT INTO "ballots" VALUES('79113d2ca3b68282','session',4,NULL,1,NULL,NULL);
CREATE TABLE briefs (
	id TEXT NOT NULL, 
	title TEXT NOT NULL, 
	text TEXT NOT NULL, 
	made_at BIGINT NOT NULL, 
	CONSTRAINT pk_briefs PRIMARY KEY (id)
);
INSERT INTO "briefs" VALUES('brief','A dry garden','Fig leaf after rain.',900);
CREATE TABLE deviations (
	id INTEGER NOT NULL, 
	session_id TEXT NOT NULL, 
	serving_id TEXT NOT NULL, 
	serving_ref TEXT, 
	seat INTEGER NOT NULL, 
	kind TEXT NOT NULL, 
	text_digest TEXT NOT NULL, 
	at BIGINT NOT NULL, 
	sequence INTEGER NOT NULL, 
	CONSTRAINT pk_deviations PRIMARY KEY (id), 
	CONSTRAINT ck_deviations_serving_ref CHECK (coalesce(serving_ref, '') = serving_id), 
	CONSTRAINT fk_deviations_serving_ref FOREIGN KEY(serving_ref) REFERENCES servings (id), 
	CONSTRAINT fk_deviations_session_id_sequence FOREIGN KEY(session_id, sequence) REFERENCES records (session_id, sequence), 
	CONSTRAINT fk_deviations_session_id FOREIGN KEY(session_id) REFERENCES sessions (id), 
	CONSTRAINT fk_deviations_text_digest FOREIGN KEY(text_digest) REFERENCES personal_texts (digest)
);
CREATE TABLE groupings (
	serving_id TEXT NOT NULL, 
	pattern TEXT NOT NULL, 
	CONSTRAINT pk_groupings PRIMARY KEY (serving_id), 
	CONSTRAINT fk_groupings_serving_id FOREIGN KEY(serving_id) REFERENCES servings (id)
);
INSERT INTO "groupings" VALUES('b1ea5f58b453053e','YYX');
INSERT INTO "groupings" VALUES('14e12ef209ca3435','YXY');
INSERT INTO "groupings" VALUES('0d38bb4b10393a40','YXX');
INSERT INTO "groupings" VALUES('7e4b3e3f1d832814','XYX');
INSERT INTO "groupings" VALUES('db71f910ccb0625d','XXY');
INSERT INTO "groupings" VALUES('2f5692985a1b48aa','YXY');
INSERT INTO "groupings" VALUES('28a2595a9be199d5','YYX');
INSERT INTO "groupings" VALUES('c0c354eb7c71e07e','YXY');
INSERT INTO "groupings" VALUES('c147c5808caabc48','XXY');
INSERT INTO "groupings" VALUES('4f302bc974ce233d','YXX');
INSERT INTO "groupings" VALUES('b5cee384060c3f01','XYX');
INSERT INTO "groupings" VALUES('802b4a4a2b1d0085','YXY');
CREATE TABLE heads (
	session_id TEXT NOT NULL, 
	sequence INTEGER NOT NULL, 
	hash TEXT NOT NULL, 
	CONSTRAINT pk_heads PRIMARY KEY (session_id), 
	CONSTRAINT fk_heads_session_id FOREIGN KEY(session_id) REFERENCES sessions (id)
);
INSERT INTO "heads" VALUES('session',5,'b6a1759d13e3aedca979515902b29098dca8a4b4014eac52fa33178fda3bdef0');
CREATE TABLE key_orders (
	serving_id TEXT NOT NULL, 
	trials TEXT NOT NULL, 
	CONSTRAINT pk_key_orders PRIMARY KEY (serving_id), 
	CONSTRAINT fk_key_orders_serving_id FOREIGN KEY(serving_id) REFERENCES servings (id)
);
INSERT INTO "key_orders" VALUES('b1ea5f58b453053e','BBA');
INSERT INTO "key_orders" VALUES('14e12ef209ca3435','BAB');
INSERT INTO "key_orders" VALUES('0d38bb4b10393a40','BAA');
INSERT INTO "key_orders" VALUES('7e4b3e3f1d832814','BAB');
INSERT INTO "key_orders" VALUES('db71f910ccb0625d','BBA');
INSERT INTO "key_orders" VALUES('2f5692985a1b48aa','ABA');
INSERT INTO "key_orders" VALUES('28a2595a9be199d5','AAB');
INSERT INTO "key_orders" VALUES('c0c354eb7c71e07e','ABA');
INSERT INTO "key_orders" VALUES('c147c5808caabc48','BBA');
INSERT INTO "key_orders" VALUES('4f302bc974ce233d','BAA');
INSERT INTO "key_orders" VALUES('b5cee384060c3f01','ABA');
INSERT INTO "key_orders" VALUES('802b4a4a2b1d0085','BAB');
CREATE TABLE keys (
	session_id TEXT NOT NULL, 
	seed TEXT NOT NULL, 
	first_letter TEXT NOT NULL, 
	second_letter TEXT NOT NULL, 
	CONSTRAINT pk_keys PRIMARY KEY (session_id), 
	CONSTRAINT fk_keys_session_id FOREIGN KEY(session_id) REFERENCES sessions (id)
);
INSERT INTO "keys" VALUES('session','000102030405060708090a0b0c0d0e0f101112131415161718191a1b1c1d1e1f','L','C');
CREATE TABLE mouillette_schema (
	version_num VARCHAR(32) NOT NULL, 
	CONSTRAINT mouillette_schema_pkc PRIMARY KEY (version_num)
);
INSERT INTO "mouillette_schema" VALUES('0001_main_job');
CREATE TABLE panelists (
	id TEXT NOT NULL, 
	alias TEXT NOT NULL, 
	note TEXT NOT NULL, 
	active BOOLEAN NOT NULL, 
	made_at BIGINT NOT NULL, 
	CONSTRAINT pk_panelists PRIMARY KEY (id)
);
INSERT INTO "panelists" VALUES('person-1','Nose 1','',1,1001);
INSERT INTO "panelists" VALUES('person-2','Nose 2','',1,1002);
INSERT INTO "panelists" VALUES('person-3','Nose 3','',1,1003);
INSERT INTO "panelists" VALUES('person-4','Nose 4','',1,1004);
CREATE TABLE personal_texts (
	digest TEXT NOT NULL, 
	session_id TEXT NOT NULL, 
	panelist_id TEXT, 
	salt TEXT, 
	text TEXT, 
	CONSTRAINT pk_personal_texts PRIMARY KEY (digest), 
	CONSTRAINT fk_personal_texts_panelist_id FOREIGN KEY(panelist_id) REFERENCES panelists (id), 
	CONSTRAINT fk_personal_texts_session_id FOREIGN KEY(session_id) REFERENCES sessions (id)
);
INSERT INTO "personal_texts" VALUES('4dd6be46e300e24348b95294a729bcea590dba19a5149ad42861598c600eeddf','session','person-1','fb4de874b557234450f27b62b4fcb6e5','greener than I thought');
INSERT INTO "personal_texts" VALUES('716be8d497230e74b455fe1e906d7e021058d0ee5a9e3cdef0501b7b28fb1a33','session','person-2','ac919cd19788b8ae7c32a3fad7337e74','fell on the floor');
CREATE TABLE records (
	session_id TEXT NOT NULL, 
	sequence INTEGER NOT NULL, 
	at BIGINT NOT NULL, 
	kind TEXT NOT NULL, 
	body TEXT NOT NULL, 
	hash TEXT NOT NULL, 
	CONSTRAINT pk_records PRIMARY KEY (session_id, sequence), 
	CONSTRAINT fk_records_session_id FOREIGN KEY(session_id) REFERENCES sessions (id)
);
INSERT INTO "records" VALUES('session',1,1767168000002,'seal','{"value":{"ballots":[{"id":"34010aad600b701e","panelist_id":"person-1","seat":1},{"id":"2b2bf6b5a3abbf75","panelist_id":"person-2","seat":2},{"id":"26ed4db66f907f6e","panelist_id":"person-3","seat":3},{"id":"79113d2ca3b68282","panelist_id":null,"seat":4}],"commitment":"d111940ad0d1249c7fb74cab61da5f9c3601f901b994ee366e570507bc58303a","hash":"616f57856f8d6a496c84ba986be61bde48dbae4861e0a094c0f1ec8afb7b03bb","plan":{"ages":[{"seconds":300,"tolerance_seconds":30},{"seconds":3600,"tolerance_seconds":360}],"alpha":"0.05","asks_nearer":true,"beta":"0.05","brief_id":"brief","confirmed":[],"descriptor":"","expected":"","first_trial_id":"trial-7","left_out":["wrong strip","ruined strip","unblinded"],"medium":"strip","method":"triangle","pd":"0.3","plain_difference":false,"primary":300,"replicates":1,"seats":[{"number":1,"panelist_id":"person-1"},{"number":2,"panelist_id":"person-2"},{"number":3,"panelist_id":"person-3"},{"number":4,"panelist_id":null}],"second_trial_id":"trial-8","ties_allowed":true,"ties_rule":"drop","title":"Trial 7 against trial 8","zone":"UTC"},"servings":[{"age_seconds":300,"codes":["513","516","862"],"id":"b1ea5f58b453053e","place":1,"replicate":1,"seat":1,"spare":false,"void":false},{"age_seconds":3600,"codes":["702","438","378"],"id":"14e12ef209ca3435","place":2,"replicate":1,"seat":1,"spare":false,"void":false},{"age_seconds":0,"codes":["263","716","562"],"id":"0d38bb4b10393a40","place":3,"replicate":0,"seat":1,"spare":true,"void":false},{"age_seconds":300,"codes":["742","461","154"],"id":"7e4b3e3f1d832814","place":1,"replicate":1,"seat":2,"spare":false,"void":false},{"age_seconds":3600,"codes":["705","359","160"],"id":"db71f910ccb0625d","place":2,"replicate":1,"seat":2,"spare":false,"void":false},{"age_seconds":0,"codes":["594","813","649"],"id":"2f5692985a1b48aa","place":3,"replicate":0,"seat":2,"spare":true,"void":false},{"age_seconds":300,"codes":["395","945","260"],"id":"28a2595a9be199d5","place":1,"replicate":1,"seat":3,"spare":false,"void":false},{"age_seconds":3600,"codes":["867","941","298"],"id":"c0c354eb7c71e07e","place":2,"replicate":1,"seat":3,"spare":false,"void":false},{"age_seconds":0,"codes":["864","968","691"],"id":"c147c5808caabc48","place":3,"replicate":0,"seat":3,"spare":true,"void":false},{"age_seconds":300,"codes":["850","721","812"],"id":"4f302bc974ce233d","place":1,"replicate":1,"seat":4,"spare":false,"void":false},{"age_seconds":3600,"codes":["236","730","203"],"id":"b5cee384060c3f01","place":2,"replicate":1,"seat":4,"spare":false,"void":false},{"age_seconds":0,"codes":["197","832","690"],"id":"802b4a4a2b1d0085","place":3,"replicate":0,"seat":4,"spare":true,"void":false}]},"version":1}','1ac14ce034100f15ddfb9512739889b2953e25ac691bc1c7001ae2570793c53a');
INSERT INTO "records" VALUES('session',2,1767168000003,'start','{"value":{},"version":1}','87aee4169c223ed8c49f21f3a9a02b08e654935a32639a0fa67ca16c7a27bba2');
INSERT INTO "records" VALUES('session',3,1767168000004,'answer','{"value":{"at":5000,"ballot_id":"34010aad600b701e","question":"choice","serving_id":"b1ea5f58b453053e","value":"513"},"version":1}','cc9cd43e034eedbc3b07ffaef4f83ac47c19b414de8e013107a128e48922cc36');
INSERT INTO "records" VALUES('session',4,1767168000005,'answer','{"value":{"at":5000,"ballot_id":"34010aad600b701e","question":"remark","remark":{"digest":"4dd6be46e300e24348b95294a729bcea590dba19a5149ad42861598c600eeddf"},"serving_id":"b1ea5f58b453053e"},"version":1}','9e6c54abdc7d38fab37ce2f2f317f5d20e2f16a59f4d7e206352c07515456c58');
INSERT INTO "records" VALUES('session',5,1767168000006,'void serving','{"value":{"reason":{"digest":"716be8d497230e74b455fe1e906d7e021058d0ee5a9e3cdef0501b7b28fb1a33"},"seat":2,"serving_id":"7e4b3e3f1d832814","spare_id":"2f5692985a1b48aa"},"version":1}','b6a1759d13e3aedca979515902b29098dca8a4b4014eac52fa33178fda3bdef0');
CREATE TABLE servings (
	id TEXT NOT NULL, 
	session_id TEXT NOT NULL, 
	position INTEGER NOT NULL, 
	seat INTEGER NOT NULL, 
	place INTEGER NOT NULL, 
	age_seconds INTEGER NOT NULL, 
	replicate INTEGER NOT NULL, 
	codes TEXT NOT NULL, 
	spare BOOLEAN NOT NULL, 
	void BOOLEAN NOT NULL, 
	CONSTRAINT pk_servings PRIMARY KEY (id), 
	CONSTRAINT fk_servings_session_id FOREIGN KEY(session_id) REFERENCES sessions (id), 
	CONSTRAINT uq_servings_session_id_position UNIQUE (session_id, position)
);
INSERT INTO "servings" VALUES('b1ea5f58b453053e','session',0,1,1,300,1,'513 516 862',0,0);
INSERT INTO "servings" VALUES('14e12ef209ca3435','session',1,1,2,3600,1,'702 438 378',0,0);
INSERT INTO "servings" VALUES('0d38bb4b10393a40','session',2,1,3,0,0,'263 716 562',1,0);
INSERT INTO "servings" VALUES('7e4b3e3f1d832814','session',3,2,1,300,1,'742 461 154',0,1);
INSERT INTO "servings" VALUES('db71f910ccb0625d','session',4,2,2,3600,1,'705 359 160',0,0);
INSERT INTO "servings" VALUES('2f5692985a1b48aa','session',5,2,1,300,1,'594 813 649',0,0);
INSERT INTO "servings" VALUES('28a2595a9be199d5','session',6,3,1,300,1,'395 945 260',0,0);
INSERT INTO "servings" VALUES('c0c354eb7c71e07e','session',7,3,2,3600,1,'867 941 298',0,0);
INSERT INTO "servings" VALUES('c147c5808caabc48','session',8,3,3,0,0,'864 968 691',1,0);
INSERT INTO "servings" VALUES('4f302bc974ce233d','session',9,4,1,300,1,'850 721 812',0,0);
INSERT INTO "servings" VALUES('b5cee384060c3f01','session',10,4,2,3600,1,'236 730 203',0,0);
INSERT INTO "servings" VALUES('802b4a4a2b1d0085','session',11,4,3,0,0,'197 832 690',1,0);
CREATE TABLE sessions (
	id TEXT NOT NULL, 
	brief_id TEXT NOT NULL, 
	first_trial_id TEXT NOT NULL, 
	second_trial_id TEXT NOT NULL, 
	"plan" TEXT NOT NULL, 
	state TEXT NOT NULL, 
	made_at BIGINT NOT NULL, 
	sealed_at BIGINT, 
	sealed_hash TEXT NOT NULL, 
	commitment TEXT NOT NULL, 
	CONSTRAINT pk_sessions PRIMARY KEY (id), 
	CONSTRAINT fk_sessions_brief_id FOREIGN KEY(brief_id) REFERENCES briefs (id), 
	CONSTRAINT fk_sessions_first_trial_id FOREIGN KEY(first_trial_id) REFERENCES trials (id), 
	CONSTRAINT fk_sessions_second_trial_id FOREIGN KEY(second_trial_id) REFERENCES trials (id)
);
INSERT INTO "sessions" VALUES('session','brief','trial-7','trial-8','{"value":{"ages":[{"seconds":300,"tolerance_seconds":30},{"seconds":3600,"tolerance_seconds":360}],"alpha":"0.05","asks_nearer":true,"beta":"0.05","brief_id":"brief","confirmed":[],"descriptor":"","expected":"","first_trial_id":"trial-7","left_out":["wrong strip","ruined strip","unblinded"],"medium":"strip","method":"triangle","pd":"0.3","plain_difference":false,"primary":300,"replicates":1,"seats":[{"number":1,"panelist_id":"person-1"},{"number":2,"panelist_id":"person-2"},{"number":3,"panelist_id":"person-3"},{"number":4,"panelist_id":null}],"second_trial_id":"trial-8","ties_allowed":true,"ties_rule":"drop","title":"Trial 7 against trial 8","zone":"UTC"},"version":1}','smelling',2000,1767168000001,'616f57856f8d6a496c84ba986be61bde48dbae4861e0a094c0f1ec8afb7b03bb','d111940ad0d1249c7fb74cab61da5f9c3601f901b994ee366e570507bc58303a');
CREATE TABLE settings (
	name TEXT NOT NULL, 
	value TEXT NOT NULL, 
	CONSTRAINT pk_settings PRIMARY KEY (name)
);
INSERT INTO "settings" VALUES('base url','http://127.0.0.1:8501');
CREATE TABLE trials (
	id TEXT NOT NULL, 
	brief_id TEXT NOT NULL, 
	label TEXT NOT NULL, 
	parent_id TEXT, 
	changed TEXT NOT NULL, 
	strength_percent TEXT, 
	mixed_on DATE, 
	diluted_on DATE, 
	batch TEXT NOT NULL, 
	made_at BIGINT NOT NULL, 
	CONSTRAINT pk_trials PRIMARY KEY (id), 
	CONSTRAINT fk_trials_brief_id FOREIGN KEY(brief_id) REFERENCES briefs (id), 
	CONSTRAINT fk_trials_parent_id FOREIGN KEY(parent_id) REFERENCES trials (id), 
	CONSTRAINT uq_trials_brief_id_label UNIQUE (brief_id, label)
);
INSERT INTO "trials" VALUES('trial-7','brief','7',NULL,'','12.50',NULL,NULL,'',1000);
INSERT INTO "trials" VALUES('trial-8','brief','8','trial-7','vetiver 2 to 3','12.50',NULL,NULL,'',1000);
CREATE TABLE visits (
	token_hash TEXT NOT NULL, 
	role TEXT NOT NULL, 
	ballot_id TEXT, 
	began_at BIGINT NOT NULL, 
	expires_at BIGINT NOT NULL, 
	ended_at BIGINT, 
	CONSTRAINT pk_visits PRIMARY KEY (token_hash), 
	CONSTRAINT fk_visits_ballot_id FOREIGN KEY(ballot_id) REFERENCES ballots (id)
);
CREATE INDEX ix_attempts_door_at ON attempts (door, at);
CREATE UNIQUE INDEX ix_panelists_active_alias ON panelists (alias) WHERE active;
CREATE INDEX ix_sessions_brief_id ON sessions (brief_id);
CREATE INDEX ix_ballots_panelist_id ON ballots (panelist_id);
CREATE INDEX ix_personal_texts_panelist_id ON personal_texts (panelist_id);
CREATE INDEX ix_personal_texts_session_id ON personal_texts (session_id);
CREATE UNIQUE INDEX ix_answers_one_final ON answers (ballot_id, serving_id, question) WHERE final;
CREATE INDEX ix_answers_session_id ON answers (session_id);
CREATE INDEX ix_deviations_session_id ON deviations (session_id);
CREATE INDEX ix_visits_ballot_id ON visits (ballot_id);
COMMIT;
