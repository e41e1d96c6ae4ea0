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
INSERT INTO "answers" VALUES(1,'session','3339450220c709b7','935c02c93e60bf0f','935c02c93e60bf0f','choice','513',NULL,5000,1,3);
INSERT INTO "answers" VALUES(2,'session','3339450220c709b7','935c02c93e60bf0f','935c02c93e60bf0f','remark','','2ecbe01b11ef61b8c0d4fb3fb23376f0c3e0b3bd501f7cc4e6a8676e37924682',5000,1,4);
INSERT INTO "answers" VALUES(3,'alone','20425b2dab4419ac','52993374becd79ac','52993374becd79ac','choice','513',NULL,5000,1,3);
INSERT INTO "answers" VALUES(4,'alone','20425b2dab4419ac','8a0b13ba6fc8a992','8a0b13ba6fc8a992','choice','702',NULL,5000,1,4);
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
INSERT INTO "ballots" VALUES('3339450220c709b7','session',1,'person-1',1,NULL,NULL);
INSERT INTO "ballots" VALUES('112415cd46190502','session',2,'person-2',1,NULL,NULL);
INSERT INTO "ballots" VALUES('aa881a57a3827878','session',3,'person-3',1,NULL,NULL);
INSERT INTO "ballots" VALUES('b40cdf8c00eab949','session',4,NULL,1,NULL,NULL);
INSERT INTO "ballots" VALUES('20425b2dab4419ac','alone',1,'person-1',1,NULL,NULL);
INSERT INTO "ballots" VALUES('eacf67e3e9a7c94f','with null sets',1,'person-1',1,NULL,NULL);
INSERT INTO "ballots" VALUES('9367f19c2b110744','with null sets',2,'person-2',1,NULL,NULL);
INSERT INTO "ballots" VALUES('19d2a855fe2ad727','with null sets',3,'person-3',1,NULL,NULL);
INSERT INTO "ballots" VALUES('07bf4a316be6e3b7','with null sets',4,NULL,1,NULL,NULL);
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
INSERT INTO "groupings" VALUES('935c02c93e60bf0f','YYX');
INSERT INTO "groupings" VALUES('2e53e21a37ce676e','YXY');
INSERT INTO "groupings" VALUES('eaa3c1e15aa7d4a2','YXX');
INSERT INTO "groupings" VALUES('041ccc16e5b6fdd8','XYX');
INSERT INTO "groupings" VALUES('93a7e50c9a8a729b','XXY');
INSERT INTO "groupings" VALUES('406713849ed14929','YXY');
INSERT INTO "groupings" VALUES('3e3a3007beed2cb8','YYX');
INSERT INTO "groupings" VALUES('8d2c228e65642983','YXY');
INSERT INTO "groupings" VALUES('f2532af551e837e0','XXY');
INSERT INTO "groupings" VALUES('0e283ff5a61adbb1','YXX');
INSERT INTO "groupings" VALUES('87fc099e60afb4f9','XYX');
INSERT INTO "groupings" VALUES('98fe655febf38a53','YXY');
INSERT INTO "groupings" VALUES('52993374becd79ac','');
INSERT INTO "groupings" VALUES('8a0b13ba6fc8a992','');
INSERT INTO "groupings" VALUES('cdb709643fc7f051','bYY');
INSERT INTO "groupings" VALUES('291660ada205535b','YYX');
INSERT INTO "groupings" VALUES('e2f9f0f33f85d9ce','YXX');
INSERT INTO "groupings" VALUES('0abd1869579fc899','XYX');
INSERT INTO "groupings" VALUES('07b22f761405a793','aYa');
INSERT INTO "groupings" VALUES('86f0da4e836e7706','YXY');
INSERT INTO "groupings" VALUES('f0986ffe81373df7','YYX');
INSERT INTO "groupings" VALUES('3fb81c451a19fb89','YaY');
INSERT INTO "groupings" VALUES('f42383e100823b59','XXY');
INSERT INTO "groupings" VALUES('bebf9e5f3b03417e','YXX');
INSERT INTO "groupings" VALUES('fd4ab20720e21717','bYY');
INSERT INTO "groupings" VALUES('2f23b31fbcc9f484','YXY');
CREATE TABLE heads (
	session_id TEXT NOT NULL, 
	sequence INTEGER NOT NULL, 
	hash TEXT NOT NULL, 
	CONSTRAINT pk_heads PRIMARY KEY (session_id), 
	CONSTRAINT fk_heads_session_id FOREIGN KEY(session_id) REFERENCES sessions (id)
);
INSERT INTO "heads" VALUES('session',5,'e752c472e691535bfeab28009f39b9eb15fdd5eb3692315173f62c5826b50e83');
INSERT INTO "heads" VALUES('alone',6,'cffdac79f87bfdc8b67056010b7b1b6c1bb851924e99d33bfbb41e0d707c20df');
INSERT INTO "heads" VALUES('with null sets',1,'0744bbf0d2cd1697b409742eb6f9e1b7bd327d0dab953278c09996c93bb75818');
CREATE TABLE key_orders (
	serving_id TEXT NOT NULL, 
	trials TEXT NOT NULL, 
	CONSTRAINT pk_key_orders PRIMARY KEY (serving_id), 
	CONSTRAINT fk_key_orders_serving_id FOREIGN KEY(serving_id) REFERENCES servings (id)
);
INSERT INTO "key_orders" VALUES('935c02c93e60bf0f','BBA');
INSERT INTO "key_orders" VALUES('2e53e21a37ce676e','BAB');
INSERT INTO "key_orders" VALUES('eaa3c1e15aa7d4a2','BAA');
INSERT INTO "key_orders" VALUES('041ccc16e5b6fdd8','BAB');
INSERT INTO "key_orders" VALUES('93a7e50c9a8a729b','BBA');
INSERT INTO "key_orders" VALUES('406713849ed14929','ABA');
INSERT INTO "key_orders" VALUES('3e3a3007beed2cb8','AAB');
INSERT INTO "key_orders" VALUES('8d2c228e65642983','ABA');
INSERT INTO "key_orders" VALUES('f2532af551e837e0','BBA');
INSERT INTO "key_orders" VALUES('0e283ff5a61adbb1','BAA');
INSERT INTO "key_orders" VALUES('87fc099e60afb4f9','ABA');
INSERT INTO "key_orders" VALUES('98fe655febf38a53','BAB');
INSERT INTO "key_orders" VALUES('52993374becd79ac','');
INSERT INTO "key_orders" VALUES('8a0b13ba6fc8a992','');
INSERT INTO "key_orders" VALUES('cdb709643fc7f051','bBB');
INSERT INTO "key_orders" VALUES('291660ada205535b','BBA');
INSERT INTO "key_orders" VALUES('e2f9f0f33f85d9ce','BAA');
INSERT INTO "key_orders" VALUES('0abd1869579fc899','BAB');
INSERT INTO "key_orders" VALUES('07b22f761405a793','aAa');
INSERT INTO "key_orders" VALUES('86f0da4e836e7706','ABA');
INSERT INTO "key_orders" VALUES('f0986ffe81373df7','AAB');
INSERT INTO "key_orders" VALUES('3fb81c451a19fb89','AaA');
INSERT INTO "key_orders" VALUES('f42383e100823b59','BBA');
INSERT INTO "key_orders" VALUES('bebf9e5f3b03417e','BAA');
INSERT INTO "key_orders" VALUES('fd4ab20720e21717','bBB');
INSERT INTO "key_orders" VALUES('2f23b31fbcc9f484','BAB');
CREATE TABLE keys (
	session_id TEXT NOT NULL, 
	seed TEXT NOT NULL, 
	first_letter TEXT NOT NULL, 
	second_letter TEXT NOT NULL, first_again_letter TEXT, second_again_letter TEXT, 
	CONSTRAINT pk_keys PRIMARY KEY (session_id), 
	CONSTRAINT fk_keys_session_id FOREIGN KEY(session_id) REFERENCES sessions (id)
);
INSERT INTO "keys" VALUES('session','000102030405060708090a0b0c0d0e0f101112131415161718191a1b1c1d1e1f','L','C',NULL,NULL);
INSERT INTO "keys" VALUES('alone','000102030405060708090a0b0c0d0e0f101112131415161718191a1b1c1d1e1f','L','C',NULL,NULL);
INSERT INTO "keys" VALUES('with null sets','000102030405060708090a0b0c0d0e0f101112131415161718191a1b1c1d1e1f','L','C','X','F');
CREATE TABLE marks (
	serving_id TEXT NOT NULL, 
	trials TEXT NOT NULL, 
	at BIGINT NOT NULL, 
	sequence INTEGER NOT NULL, 
	CONSTRAINT pk_marks PRIMARY KEY (serving_id), 
	CONSTRAINT fk_marks_serving_id FOREIGN KEY(serving_id) REFERENCES servings (id)
);
INSERT INTO "marks" VALUES('52993374becd79ac','ABA',1767168000013,6);
INSERT INTO "marks" VALUES('8a0b13ba6fc8a992','BBA',1767168000013,6);
CREATE TABLE mouillette_schema (
	version_num VARCHAR(32) NOT NULL, 
	CONSTRAINT mouillette_schema_pkc PRIMARY KEY (version_num)
);
INSERT INTO "mouillette_schema" VALUES('0002_small_panels');
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
INSERT INTO "personal_texts" VALUES('2ecbe01b11ef61b8c0d4fb3fb23376f0c3e0b3bd501f7cc4e6a8676e37924682','session','person-1','19ec46e145d68ded9619ced21df9bebc','greener than I thought');
INSERT INTO "personal_texts" VALUES('b4227744b4bda1242a2b77dac60c31775672a63e5307172fe0ae3799d24376fd','session','person-2','eec32e910f47412f6fbf8c9e4a932c93','fell on the floor');
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
INSERT INTO "records" VALUES('session',1,1767168000002,'seal','{"value":{"ballots":[{"id":"3339450220c709b7","panelist_id":"person-1","seat":1},{"id":"112415cd46190502","panelist_id":"person-2","seat":2},{"id":"aa881a57a3827878","panelist_id":"person-3","seat":3},{"id":"b40cdf8c00eab949","panelist_id":null,"seat":4}],"commitment":"3ccfb70d900bd8b52a5731ddf04746cc249078c5c951e8952e2789bd32cf5be3","hash":"364798699b2857072ed085207e8fbff6d5b19b054eca559d414555e645657f52","plan":{"ages":[{"seconds":300,"tolerance_seconds":30},{"seconds":3600,"tolerance_seconds":360}],"alpha":"0.05","asks_nearer":true,"beta":"0.05","brief_id":"brief","confirmed":[],"descriptor":"","expected":"","first_trial_id":"trial-7","left_out":["wrong strip","ruined strip","unblinded"],"look_every":0,"medium":"strip","method":"triangle","null_sets":0,"pd":"0.3","plain_difference":false,"primary":300,"prior":"flat","replicates":1,"seats":[{"number":1,"panelist_id":"person-1"},{"number":2,"panelist_id":"person-2"},{"number":3,"panelist_id":"person-3"},{"number":4,"panelist_id":null}],"second_trial_id":"trial-8","solo":false,"ties_allowed":true,"ties_rule":"drop","title":"Trial 7 against trial 8","zone":"UTC"},"servings":[{"age_seconds":300,"codes":["513","516","862"],"id":"935c02c93e60bf0f","place":1,"replicate":1,"seat":1,"spare":false,"void":false},{"age_seconds":3600,"codes":["702","438","378"],"id":"2e53e21a37ce676e","place":2,"replicate":1,"seat":1,"spare":false,"void":false},{"age_seconds":0,"codes":["263","716","562"],"id":"eaa3c1e15aa7d4a2","place":3,"replicate":0,"seat":1,"spare":true,"void":false},{"age_seconds":300,"codes":["742","461","154"],"id":"041ccc16e5b6fdd8","place":1,"replicate":1,"seat":2,"spare":false,"void":false},{"age_seconds":3600,"codes":["705","359","160"],"id":"93a7e50c9a8a729b","place":2,"replicate":1,"seat":2,"spare":false,"void":false},{"age_seconds":0,"codes":["594","813","649"],"id":"406713849ed14929","place":3,"replicate":0,"seat":2,"spare":true,"void":false},{"age_seconds":300,"codes":["395","945","260"],"id":"3e3a3007beed2cb8","place":1,"replicate":1,"seat":3,"spare":false,"void":false},{"age_seconds":3600,"codes":["867","941","298"],"id":"8d2c228e65642983","place":2,"replicate":1,"seat":3,"spare":false,"void":false},{"age_seconds":0,"codes":["864","968","691"],"id":"f2532af551e837e0","place":3,"replicate":0,"seat":3,"spare":true,"void":false},{"age_seconds":300,"codes":["850","721","812"],"id":"0e283ff5a61adbb1","place":1,"replicate":1,"seat":4,"spare":false,"void":false},{"age_seconds":3600,"codes":["236","730","203"],"id":"87fc099e60afb4f9","place":2,"replicate":1,"seat":4,"spare":false,"void":false},{"age_seconds":0,"codes":["197","832","690"],"id":"98fe655febf38a53","place":3,"replicate":0,"seat":4,"spare":true,"void":false}]},"version":1}','a308c81d32e16ebed1c032f38c49503dcb160e3238671c10714723e959605901');
INSERT INTO "records" VALUES('session',2,1767168000003,'start','{"value":{},"version":1}','07e76afeb192707c878658e112f4ef69704bf96d7b485d3b256f0e36c373fc36');
INSERT INTO "records" VALUES('session',3,1767168000004,'answer','{"value":{"at":5000,"ballot_id":"3339450220c709b7","question":"choice","serving_id":"935c02c93e60bf0f","value":"513"},"version":1}','ad7a958b9cd460d97452e689084bf7509d3b93e581c05fc496e45ae2ad4a27fd');
INSERT INTO "records" VALUES('session',4,1767168000005,'answer','{"value":{"at":5000,"ballot_id":"3339450220c709b7","question":"remark","remark":{"digest":"2ecbe01b11ef61b8c0d4fb3fb23376f0c3e0b3bd501f7cc4e6a8676e37924682"},"serving_id":"935c02c93e60bf0f"},"version":1}','57a2a00877729512114f8d049ac6d435afc9f4e3eabfb974f0e2c28e77237815');
INSERT INTO "records" VALUES('session',5,1767168000006,'void serving','{"value":{"reason":{"digest":"b4227744b4bda1242a2b77dac60c31775672a63e5307172fe0ae3799d24376fd"},"seat":2,"serving_id":"041ccc16e5b6fdd8","spare_id":"406713849ed14929"},"version":1}','e752c472e691535bfeab28009f39b9eb15fdd5eb3692315173f62c5826b50e83');
INSERT INTO "records" VALUES('alone',1,1767168000008,'seal','{"value":{"ballots":[{"id":"20425b2dab4419ac","panelist_id":"person-1","seat":1}],"commitment":"2da66f823309086c5f90cf308fcc697293d69c7f7e9ea430b4b2a8ca951b7817","hash":"ab4fb74a2f2375771e67aa259b6de272be0395197f0fab244fc9f59f0304e900","plan":{"ages":[{"seconds":300,"tolerance_seconds":30}],"alpha":"0.05","asks_nearer":true,"beta":"0.05","brief_id":"brief","confirmed":[],"descriptor":"","expected":"","first_trial_id":"trial-7","left_out":["wrong strip","ruined strip","unblinded"],"look_every":0,"medium":"strip","method":"triangle","null_sets":0,"pd":"0.3","plain_difference":false,"primary":300,"prior":"flat","replicates":2,"seats":[{"number":1,"panelist_id":"person-1"}],"second_trial_id":"trial-8","solo":true,"ties_allowed":true,"ties_rule":"drop","title":"Trial 7 against trial 8","zone":"UTC"},"servings":[{"age_seconds":300,"codes":["513","516","862"],"id":"52993374becd79ac","place":1,"replicate":1,"seat":1,"spare":false,"void":false},{"age_seconds":300,"codes":["702","438","378"],"id":"8a0b13ba6fc8a992","place":2,"replicate":2,"seat":1,"spare":false,"void":false}]},"version":1}','1228057f2a9c20a046cbbb2e5143465adcbb32b0f8c2355aafd7a73d27b4fdba');
INSERT INTO "records" VALUES('alone',2,1767168000009,'start','{"value":{},"version":1}','2de3e1b9252cee4e10e487f218747974e85a52619c1f93c18153222c220eec1f');
INSERT INTO "records" VALUES('alone',3,1767168000010,'answer','{"value":{"at":5000,"ballot_id":"20425b2dab4419ac","question":"choice","serving_id":"52993374becd79ac","value":"513"},"version":1}','8bd425bbd3c17d1fb7370f0c53179323841389a5dd27c558d2032e8ec85b10be');
INSERT INTO "records" VALUES('alone',4,1767168000011,'answer','{"value":{"at":5000,"ballot_id":"20425b2dab4419ac","question":"choice","serving_id":"8a0b13ba6fc8a992","value":"702"},"version":1}','bece713de58b4a6cf1f7eb5de7f622f31d65ffa85a6431bc191e79c1576c56e5');
INSERT INTO "records" VALUES('alone',5,1767168000012,'close','{"value":{},"version":1}','446574ff17bfbf913fe10a5300b57e6bd7e8fdc476d8dd6dcfea8a931e99d01d');
INSERT INTO "records" VALUES('alone',6,1767168000013,'marks','{"value":{"orders":{"52993374becd79ac":"ABA","8a0b13ba6fc8a992":"BBA"}},"version":1}','cffdac79f87bfdc8b67056010b7b1b6c1bb851924e99d33bfbb41e0d707c20df');
INSERT INTO "records" VALUES('with null sets',1,1767168000015,'seal','{"value":{"ballots":[{"id":"eacf67e3e9a7c94f","panelist_id":"person-1","seat":1},{"id":"9367f19c2b110744","panelist_id":"person-2","seat":2},{"id":"19d2a855fe2ad727","panelist_id":"person-3","seat":3},{"id":"07bf4a316be6e3b7","panelist_id":null,"seat":4}],"commitment":"88e26b657a91b0b23050420cb58492888692ace01b2d7c78065494679ac9ae72","hash":"ddcd5ed7e52d327db7b8fbec66a05f8a645076a03cceaa315c62c6958bd6fd03","plan":{"ages":[{"seconds":300,"tolerance_seconds":30}],"alpha":"0.05","asks_nearer":true,"beta":"0.05","brief_id":"brief","confirmed":[],"descriptor":"","expected":"","first_trial_id":"trial-7","left_out":["wrong strip","ruined strip","unblinded"],"look_every":0,"medium":"strip","method":"triangle","null_sets":1,"pd":"0.3","plain_difference":false,"primary":300,"prior":"flat","replicates":1,"seats":[{"number":1,"panelist_id":"person-1"},{"number":2,"panelist_id":"person-2"},{"number":3,"panelist_id":"person-3"},{"number":4,"panelist_id":null}],"second_trial_id":"trial-8","solo":false,"ties_allowed":true,"ties_rule":"drop","title":"Trial 7 against trial 8","zone":"UTC"},"servings":[{"age_seconds":300,"codes":["513","516","862"],"id":"cdb709643fc7f051","place":1,"replicate":1,"seat":1,"spare":false,"void":false},{"age_seconds":300,"codes":["702","438","378"],"id":"291660ada205535b","place":2,"replicate":2,"seat":1,"spare":false,"void":false},{"age_seconds":0,"codes":["263","716","562"],"id":"e2f9f0f33f85d9ce","place":3,"replicate":0,"seat":1,"spare":true,"void":false},{"age_seconds":300,"codes":["742","461","154"],"id":"0abd1869579fc899","place":1,"replicate":1,"seat":2,"spare":false,"void":false},{"age_seconds":300,"codes":["705","359","160"],"id":"07b22f761405a793","place":2,"replicate":2,"seat":2,"spare":false,"void":false},{"age_seconds":0,"codes":["594","813","649"],"id":"86f0da4e836e7706","place":3,"replicate":0,"seat":2,"spare":true,"void":false},{"age_seconds":300,"codes":["395","945","260"],"id":"f0986ffe81373df7","place":1,"replicate":1,"seat":3,"spare":false,"void":false},{"age_seconds":300,"codes":["867","941","298"],"id":"3fb81c451a19fb89","place":2,"replicate":2,"seat":3,"spare":false,"void":false},{"age_seconds":0,"codes":["864","968","691"],"id":"f42383e100823b59","place":3,"replicate":0,"seat":3,"spare":true,"void":false},{"age_seconds":300,"codes":["850","721","812"],"id":"bebf9e5f3b03417e","place":1,"replicate":1,"seat":4,"spare":false,"void":false},{"age_seconds":300,"codes":["236","730","203"],"id":"fd4ab20720e21717","place":2,"replicate":2,"seat":4,"spare":false,"void":false},{"age_seconds":0,"codes":["197","832","690"],"id":"2f23b31fbcc9f484","place":3,"replicate":0,"seat":4,"spare":true,"void":false}]},"version":1}','0744bbf0d2cd1697b409742eb6f9e1b7bd327d0dab953278c09996c93bb75818');
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
INSERT INTO "servings" VALUES('935c02c93e60bf0f','session',0,1,1,300,1,'513 516 862',0,0);
INSERT INTO "servings" VALUES('2e53e21a37ce676e','session',1,1,2,3600,1,'702 438 378',0,0);
INSERT INTO "servings" VALUES('eaa3c1e15aa7d4a2','session',2,1,3,0,0,'263 716 562',1,0);
INSERT INTO "servings" VALUES('041ccc16e5b6fdd8','session',3,2,1,300,1,'742 461 154',0,1);
INSERT INTO "servings" VALUES('93a7e50c9a8a729b','session',4,2,2,3600,1,'705 359 160',0,0);
INSERT INTO "servings" VALUES('406713849ed14929','session',5,2,1,300,1,'594 813 649',0,0);
INSERT INTO "servings" VALUES('3e3a3007beed2cb8','session',6,3,1,300,1,'395 945 260',0,0);
INSERT INTO "servings" VALUES('8d2c228e65642983','session',7,3,2,3600,1,'867 941 298',0,0);
INSERT INTO "servings" VALUES('f2532af551e837e0','session',8,3,3,0,0,'864 968 691',1,0);
INSERT INTO "servings" VALUES('0e283ff5a61adbb1','session',9,4,1,300,1,'850 721 812',0,0);
INSERT INTO "servings" VALUES('87fc099e60afb4f9','session',10,4,2,3600,1,'236 730 203',0,0);
INSERT INTO "servings" VALUES('98fe655febf38a53','session',11,4,3,0,0,'197 832 690',1,0);
INSERT INTO "servings" VALUES('52993374becd79ac','alone',0,1,1,300,1,'513 516 862',0,0);
INSERT INTO "servings" VALUES('8a0b13ba6fc8a992','alone',1,1,2,300,2,'702 438 378',0,0);
INSERT INTO "servings" VALUES('cdb709643fc7f051','with null sets',0,1,1,300,1,'513 516 862',0,0);
INSERT INTO "servings" VALUES('291660ada205535b','with null sets',1,1,2,300,2,'702 438 378',0,0);
INSERT INTO "servings" VALUES('e2f9f0f33f85d9ce','with null sets',2,1,3,0,0,'263 716 562',1,0);
INSERT INTO "servings" VALUES('0abd1869579fc899','with null sets',3,2,1,300,1,'742 461 154',0,0);
INSERT INTO "servings" VALUES('07b22f761405a793','with null sets',4,2,2,300,2,'705 359 160',0,0);
INSERT INTO "servings" VALUES('86f0da4e836e7706','with null sets',5,2,3,0,0,'594 813 649',1,0);
INSERT INTO "servings" VALUES('f0986ffe81373df7','with null sets',6,3,1,300,1,'395 945 260',0,0);
INSERT INTO "servings" VALUES('3fb81c451a19fb89','with null sets',7,3,2,300,2,'867 941 298',0,0);
INSERT INTO "servings" VALUES('f42383e100823b59','with null sets',8,3,3,0,0,'864 968 691',1,0);
INSERT INTO "servings" VALUES('bebf9e5f3b03417e','with null sets',9,4,1,300,1,'850 721 812',0,0);
INSERT INTO "servings" VALUES('fd4ab20720e21717','with null sets',10,4,2,300,2,'236 730 203',0,0);
INSERT INTO "servings" VALUES('2f23b31fbcc9f484','with null sets',11,4,3,0,0,'197 832 690',1,0);
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
INSERT INTO "sessions" VALUES('session','brief','trial-7','trial-8','{"value":{"ages":[{"seconds":300,"tolerance_seconds":30},{"seconds":3600,"tolerance_seconds":360}],"alpha":"0.05","asks_nearer":true,"beta":"0.05","brief_id":"brief","confirmed":[],"descriptor":"","expected":"","first_trial_id":"trial-7","left_out":["wrong strip","ruined strip","unblinded"],"look_every":0,"medium":"strip","method":"triangle","null_sets":0,"pd":"0.3","plain_difference":false,"primary":300,"prior":"flat","replicates":1,"seats":[{"number":1,"panelist_id":"person-1"},{"number":2,"panelist_id":"person-2"},{"number":3,"panelist_id":"person-3"},{"number":4,"panelist_id":null}],"second_trial_id":"trial-8","solo":false,"ties_allowed":true,"ties_rule":"drop","title":"Trial 7 against trial 8","zone":"UTC"},"version":1}','smelling',2000,1767168000001,'364798699b2857072ed085207e8fbff6d5b19b054eca559d414555e645657f52','3ccfb70d900bd8b52a5731ddf04746cc249078c5c951e8952e2789bd32cf5be3');
INSERT INTO "sessions" VALUES('alone','brief','trial-7','trial-8','{"value":{"ages":[{"seconds":300,"tolerance_seconds":30}],"alpha":"0.05","asks_nearer":true,"beta":"0.05","brief_id":"brief","confirmed":[],"descriptor":"","expected":"","first_trial_id":"trial-7","left_out":["wrong strip","ruined strip","unblinded"],"look_every":0,"medium":"strip","method":"triangle","null_sets":0,"pd":"0.3","plain_difference":false,"primary":300,"prior":"flat","replicates":2,"seats":[{"number":1,"panelist_id":"person-1"}],"second_trial_id":"trial-8","solo":true,"ties_allowed":true,"ties_rule":"drop","title":"Trial 7 against trial 8","zone":"UTC"},"version":1}','closed',2000,1767168000007,'ab4fb74a2f2375771e67aa259b6de272be0395197f0fab244fc9f59f0304e900','2da66f823309086c5f90cf308fcc697293d69c7f7e9ea430b4b2a8ca951b7817');
INSERT INTO "sessions" VALUES('with null sets','brief','trial-7','trial-8','{"value":{"ages":[{"seconds":300,"tolerance_seconds":30}],"alpha":"0.05","asks_nearer":true,"beta":"0.05","brief_id":"brief","confirmed":[],"descriptor":"","expected":"","first_trial_id":"trial-7","left_out":["wrong strip","ruined strip","unblinded"],"look_every":0,"medium":"strip","method":"triangle","null_sets":1,"pd":"0.3","plain_difference":false,"primary":300,"prior":"flat","replicates":1,"seats":[{"number":1,"panelist_id":"person-1"},{"number":2,"panelist_id":"person-2"},{"number":3,"panelist_id":"person-3"},{"number":4,"panelist_id":null}],"second_trial_id":"trial-8","solo":false,"ties_allowed":true,"ties_rule":"drop","title":"Trial 7 against trial 8","zone":"UTC"},"version":1}','sealed',2000,1767168000014,'ddcd5ed7e52d327db7b8fbec66a05f8a645076a03cceaa315c62c6958bd6fd03','88e26b657a91b0b23050420cb58492888692ace01b2d7c78065494679ac9ae72');
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
