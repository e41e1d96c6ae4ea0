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
INSERT INTO "answers" VALUES(1,'session','e0a87778ce46d814','e7df4d767153c149','e7df4d767153c149','choice','513',NULL,5000,1,3);
INSERT INTO "answers" VALUES(2,'session','e0a87778ce46d814','e7df4d767153c149','e7df4d767153c149','remark','','67c7a29a50577374ad02552e03a0a1dbf6fd7b1e1fd3189a38cc50fff14a6c9d',5000,1,4);
INSERT INTO "answers" VALUES(3,'alone','4175a85262fb9a1e','70f7976e69173734','70f7976e69173734','choice','513',NULL,5000,1,3);
INSERT INTO "answers" VALUES(4,'alone','4175a85262fb9a1e','9e23d72fcd70b4c6','9e23d72fcd70b4c6','choice','702',NULL,5000,1,4);
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
INSERT INTO "ballots" VALUES('e0a87778ce46d814','session',1,'person-1',1,NULL,NULL);
INSERT INTO "ballots" VALUES('dec36b394d9ef47a','session',2,'person-2',1,NULL,NULL);
INSERT INTO "ballots" VALUES('9a415f9900faafe6','session',3,'person-3',1,NULL,NULL);
INSERT INTO "ballots" VALUES('3ee2ed89c04f975e','session',4,NULL,1,NULL,NULL);
INSERT INTO "ballots" VALUES('4175a85262fb9a1e','alone',1,'person-1',1,NULL,NULL);
INSERT INTO "ballots" VALUES('ff7e104023485fd4','with null sets',1,'person-1',1,NULL,NULL);
INSERT INTO "ballots" VALUES('f8ed1773b7762212','with null sets',2,'person-2',1,NULL,NULL);
INSERT INTO "ballots" VALUES('45b30300716f1b30','with null sets',3,'person-3',1,NULL,NULL);
INSERT INTO "ballots" VALUES('4f3303714cb0e869','with null sets',4,NULL,1,NULL,NULL);
CREATE TABLE brief_sheets (
	id INTEGER NOT NULL, 
	brief_id TEXT NOT NULL, 
	kind TEXT NOT NULL, 
	body TEXT NOT NULL, 
	at BIGINT NOT NULL, 
	CONSTRAINT pk_brief_sheets PRIMARY KEY (id), 
	CONSTRAINT fk_brief_sheets_brief_id FOREIGN KEY(brief_id) REFERENCES briefs (id)
);
CREATE TABLE briefs (
	id TEXT NOT NULL, 
	title TEXT NOT NULL, 
	text TEXT NOT NULL, 
	made_at BIGINT NOT NULL, 
	CONSTRAINT pk_briefs PRIMARY KEY (id)
);
INSERT INTO "briefs" VALUES('brief','A dry garden','Fig leaf after rain.',900);
CREATE TABLE decisions (
	id TEXT NOT NULL, 
	brief_id TEXT NOT NULL, 
	number INTEGER NOT NULL, 
	trial_id TEXT NOT NULL, 
	word TEXT NOT NULL, 
	reason TEXT NOT NULL, 
	evidence TEXT NOT NULL, 
	supersedes TEXT, 
	at BIGINT NOT NULL, 
	previous TEXT NOT NULL, 
	hash TEXT NOT NULL, 
	CONSTRAINT pk_decisions PRIMARY KEY (id), 
	CONSTRAINT fk_decisions_brief_id FOREIGN KEY(brief_id) REFERENCES briefs (id), 
	CONSTRAINT fk_decisions_supersedes FOREIGN KEY(supersedes) REFERENCES decisions (id), 
	CONSTRAINT fk_decisions_trial_id FOREIGN KEY(trial_id) REFERENCES trials (id), 
	CONSTRAINT uq_decisions_brief_id_number UNIQUE (brief_id, number)
);
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
CREATE TABLE dips (
	id INTEGER NOT NULL, 
	session_id TEXT NOT NULL, 
	serving_id TEXT NOT NULL, 
	dipped_at BIGINT NOT NULL, 
	at BIGINT NOT NULL, 
	sequence INTEGER NOT NULL, 
	CONSTRAINT pk_dips PRIMARY KEY (id), 
	CONSTRAINT fk_dips_serving_id FOREIGN KEY(serving_id) REFERENCES servings (id), 
	CONSTRAINT fk_dips_session_id FOREIGN KEY(session_id) REFERENCES sessions (id), 
	CONSTRAINT fk_dips_session_id_sequence FOREIGN KEY(session_id, sequence) REFERENCES records (session_id, sequence)
);
CREATE TABLE formula_lines (
	trial_id TEXT NOT NULL, 
	position INTEGER NOT NULL, 
	material_id TEXT NOT NULL, 
	share_percent TEXT NOT NULL, 
	stock_percent TEXT NOT NULL, 
	CONSTRAINT pk_formula_lines PRIMARY KEY (trial_id, position), 
	CONSTRAINT fk_formula_lines_material_id FOREIGN KEY(material_id) REFERENCES materials (id), 
	CONSTRAINT fk_formula_lines_trial_id FOREIGN KEY(trial_id) REFERENCES trials (id)
);
INSERT INTO "formula_lines" VALUES('trial-7',1,'m1','100','100');
CREATE TABLE groupings (
	serving_id TEXT NOT NULL, 
	pattern TEXT NOT NULL, 
	CONSTRAINT pk_groupings PRIMARY KEY (serving_id), 
	CONSTRAINT fk_groupings_serving_id FOREIGN KEY(serving_id) REFERENCES servings (id)
);
INSERT INTO "groupings" VALUES('e7df4d767153c149','YYX');
INSERT INTO "groupings" VALUES('5fcdf65c90fed9fa','YXY');
INSERT INTO "groupings" VALUES('82e38c006b85390a','YXX');
INSERT INTO "groupings" VALUES('de9b0a2347079de7','XYX');
INSERT INTO "groupings" VALUES('a3a6e871128b1b1a','XXY');
INSERT INTO "groupings" VALUES('24d1dee95ce9f41d','YXY');
INSERT INTO "groupings" VALUES('4a85f86300682a69','YYX');
INSERT INTO "groupings" VALUES('9f44c6ac72bf479f','YXY');
INSERT INTO "groupings" VALUES('38a5d0e1f8c75dc6','XXY');
INSERT INTO "groupings" VALUES('ea6bff080716e8b3','YXX');
INSERT INTO "groupings" VALUES('7705ffc0ef9e45c9','XYX');
INSERT INTO "groupings" VALUES('8a763d30c40b3727','YXY');
INSERT INTO "groupings" VALUES('70f7976e69173734','');
INSERT INTO "groupings" VALUES('9e23d72fcd70b4c6','');
INSERT INTO "groupings" VALUES('8df12cafd89bcbb7','');
INSERT INTO "groupings" VALUES('9f0f98701b8e7074','');
INSERT INTO "groupings" VALUES('4b588634ded80baf','');
INSERT INTO "groupings" VALUES('72538d2d144b9ee8','');
INSERT INTO "groupings" VALUES('3f6a05426051d2c9','XaX');
INSERT INTO "groupings" VALUES('8ad85c79b34397a5','bXX');
INSERT INTO "groupings" VALUES('5879d625d8c3b8bd','Yaa');
INSERT INTO "groupings" VALUES('eab4a68b417f9728','aab');
INSERT INTO "groupings" VALUES('195f98b5ace943df','YaY');
INSERT INTO "groupings" VALUES('2b46dc80bc75e59b','baa');
INSERT INTO "groupings" VALUES('60b6e5b3e314fbe8','YbY');
INSERT INTO "groupings" VALUES('69c069f6436fb0f7','Yaa');
INSERT INTO "groupings" VALUES('55ad86ddd3035966','Xaa');
INSERT INTO "groupings" VALUES('8e35a1fa213e3015','bbX');
INSERT INTO "groupings" VALUES('6fe3477be24d4a9a','bbY');
INSERT INTO "groupings" VALUES('9c1bd974f0f8e9da','aba');
CREATE TABLE heads (
	session_id TEXT NOT NULL, 
	sequence INTEGER NOT NULL, 
	hash TEXT NOT NULL, 
	CONSTRAINT pk_heads PRIMARY KEY (session_id), 
	CONSTRAINT fk_heads_session_id FOREIGN KEY(session_id) REFERENCES sessions (id)
);
INSERT INTO "heads" VALUES('session',6,'6c0194ac4a3f651426dc7df8cabfb665e2ce6aebba9bab417ac09d4ff4bb7a62');
INSERT INTO "heads" VALUES('alone',6,'73a9f162fcd8ddcab232d18368f06d3334d7d1871216ef5b3defeab23cc4b12f');
INSERT INTO "heads" VALUES('with null sets',1,'97187f0c968cfa6c89c876599c34134c7dedb9f81250bd38d9adcf027ffce050');
CREATE TABLE key_orders (
	serving_id TEXT NOT NULL, 
	trials TEXT NOT NULL, 
	CONSTRAINT pk_key_orders PRIMARY KEY (serving_id), 
	CONSTRAINT fk_key_orders_serving_id FOREIGN KEY(serving_id) REFERENCES servings (id)
);
INSERT INTO "key_orders" VALUES('e7df4d767153c149','BBA');
INSERT INTO "key_orders" VALUES('5fcdf65c90fed9fa','BAB');
INSERT INTO "key_orders" VALUES('82e38c006b85390a','BAA');
INSERT INTO "key_orders" VALUES('de9b0a2347079de7','BAB');
INSERT INTO "key_orders" VALUES('a3a6e871128b1b1a','BBA');
INSERT INTO "key_orders" VALUES('24d1dee95ce9f41d','ABA');
INSERT INTO "key_orders" VALUES('4a85f86300682a69','AAB');
INSERT INTO "key_orders" VALUES('9f44c6ac72bf479f','ABA');
INSERT INTO "key_orders" VALUES('38a5d0e1f8c75dc6','BBA');
INSERT INTO "key_orders" VALUES('ea6bff080716e8b3','BAA');
INSERT INTO "key_orders" VALUES('7705ffc0ef9e45c9','ABA');
INSERT INTO "key_orders" VALUES('8a763d30c40b3727','BAB');
INSERT INTO "key_orders" VALUES('70f7976e69173734','');
INSERT INTO "key_orders" VALUES('9e23d72fcd70b4c6','');
INSERT INTO "key_orders" VALUES('8df12cafd89bcbb7','');
INSERT INTO "key_orders" VALUES('9f0f98701b8e7074','');
INSERT INTO "key_orders" VALUES('4b588634ded80baf','');
INSERT INTO "key_orders" VALUES('72538d2d144b9ee8','');
INSERT INTO "key_orders" VALUES('3f6a05426051d2c9','AaA');
INSERT INTO "key_orders" VALUES('8ad85c79b34397a5','bAA');
INSERT INTO "key_orders" VALUES('5879d625d8c3b8bd','Baa');
INSERT INTO "key_orders" VALUES('eab4a68b417f9728','aab');
INSERT INTO "key_orders" VALUES('195f98b5ace943df','AaA');
INSERT INTO "key_orders" VALUES('2b46dc80bc75e59b','baa');
INSERT INTO "key_orders" VALUES('60b6e5b3e314fbe8','AbA');
INSERT INTO "key_orders" VALUES('69c069f6436fb0f7','Aaa');
INSERT INTO "key_orders" VALUES('55ad86ddd3035966','Baa');
INSERT INTO "key_orders" VALUES('8e35a1fa213e3015','bbA');
INSERT INTO "key_orders" VALUES('6fe3477be24d4a9a','bbB');
INSERT INTO "key_orders" VALUES('9c1bd974f0f8e9da','aba');
CREATE TABLE keys (
	session_id TEXT NOT NULL, 
	seed TEXT NOT NULL, 
	first_letter TEXT NOT NULL, 
	second_letter TEXT NOT NULL, first_again_letter TEXT, second_again_letter TEXT, further_letters TEXT, 
	CONSTRAINT pk_keys PRIMARY KEY (session_id), 
	CONSTRAINT fk_keys_session_id FOREIGN KEY(session_id) REFERENCES sessions (id)
);
INSERT INTO "keys" VALUES('session','000102030405060708090a0b0c0d0e0f101112131415161718191a1b1c1d1e1f','L','C',NULL,NULL,NULL);
INSERT INTO "keys" VALUES('alone','000102030405060708090a0b0c0d0e0f101112131415161718191a1b1c1d1e1f','L','C',NULL,NULL,NULL);
INSERT INTO "keys" VALUES('with null sets','000102030405060708090a0b0c0d0e0f101112131415161718191a1b1c1d1e1f','L','C','X','F',NULL);
CREATE TABLE marks (
	serving_id TEXT NOT NULL, 
	trials TEXT NOT NULL, 
	at BIGINT NOT NULL, 
	sequence INTEGER NOT NULL, 
	CONSTRAINT pk_marks PRIMARY KEY (serving_id), 
	CONSTRAINT fk_marks_serving_id FOREIGN KEY(serving_id) REFERENCES servings (id)
);
INSERT INTO "marks" VALUES('70f7976e69173734','ABA',1767168000014,6);
INSERT INTO "marks" VALUES('9e23d72fcd70b4c6','BBA',1767168000014,6);
CREATE TABLE materials (
	id TEXT NOT NULL, 
	name TEXT NOT NULL, 
	volatility TEXT NOT NULL, 
	"natural" BOOLEAN NOT NULL, 
	phototoxic BOOLEAN NOT NULL, 
	note TEXT NOT NULL, 
	made_at BIGINT NOT NULL, folded TEXT DEFAULT '' NOT NULL, 
	CONSTRAINT pk_materials PRIMARY KEY (id), 
	CONSTRAINT uq_materials_name UNIQUE (name)
);
INSERT INTO "materials" VALUES('m1','Cold-pressed peel','top',0,1,'',5,'cold-pressedpeel');
CREATE TABLE mouillette_schema (
	version_num VARCHAR(32) NOT NULL, 
	CONSTRAINT mouillette_schema_pkc PRIMARY KEY (version_num)
);
INSERT INTO "mouillette_schema" VALUES('0005_dips');
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
CREATE TABLE patches (
	id TEXT NOT NULL, 
	panelist_id TEXT NOT NULL, 
	trial_id TEXT NOT NULL, 
	code TEXT NOT NULL, 
	site TEXT NOT NULL, 
	strength_percent TEXT NOT NULL, 
	applied_at BIGINT NOT NULL, 
	formula TEXT DEFAULT '' NOT NULL, 
	CONSTRAINT pk_patches PRIMARY KEY (id), 
	CONSTRAINT fk_patches_panelist_id FOREIGN KEY(panelist_id) REFERENCES panelists (id), 
	CONSTRAINT fk_patches_trial_id FOREIGN KEY(trial_id) REFERENCES trials (id)
);
INSERT INTO "patches" VALUES('p1','person-1','trial-7','481','left upper arm, inner side','10',1767168000017,'{"value":{"lines":[{"material_id":"m1","share_percent":"100","stock_percent":"100"}]},"version":1}');
INSERT INTO "patches" VALUES('p2','person-1','trial-7','482','right upper arm, inner side','10',1767168000017,'{"value":{"lines":[{"material_id":"m1","share_percent":"100","stock_percent":"100"}]},"version":1}');
INSERT INTO "patches" VALUES('p3','person-1','trial-7','483','left upper arm, outer side','10',1767168000017,'{"value":{"lines":[{"material_id":"m1","share_percent":"100","stock_percent":"100"}]},"version":1}');
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
INSERT INTO "personal_texts" VALUES('67c7a29a50577374ad02552e03a0a1dbf6fd7b1e1fd3189a38cc50fff14a6c9d','session','person-1','18357556c65e961377c6437dfb00f217','greener than I thought');
INSERT INTO "personal_texts" VALUES('bc45388fd51d26404a5e543cae1e8ba425e65b436efdec1137555c7d197bd9d9','session','person-2','4d1d65cb0592c919f262a20656ff483f','fell on the floor');
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
INSERT INTO "records" VALUES('session',1,1767168000003,'seal','{"value":{"ballots":[{"id":"e0a87778ce46d814","panelist_id":"person-1","seat":1},{"id":"dec36b394d9ef47a","panelist_id":"person-2","seat":2},{"id":"9a415f9900faafe6","panelist_id":"person-3","seat":3},{"id":"3ee2ed89c04f975e","panelist_id":null,"seat":4}],"commitment":"80a36c7e364919a60c9e2561c8372c9437979ec79103991a7360c5ccd4378f8a","hash":"7d2924a0862710910159e8e2a9e0d1160066d51b1e9dd1fc6295a1ab83d89f2d","plan":{"ages":[{"seconds":300,"tolerance_seconds":30},{"seconds":3600,"tolerance_seconds":360}],"alpha":"0.05","asks_liking":false,"asks_nearer":true,"asks_strength":true,"beta":"0.05","brief_id":"brief","confirmed":[],"descriptor":"","descriptor_order":"fixed","descriptors":[],"expected":"","expected_order":[],"first_trial_id":"trial-7","left_out":["wrong strip","ruined strip","unblinded"],"look_every":0,"medium":"strip","method":"triangle","null_sets":0,"other_trial_ids":[],"pairs_each":0,"pd":"0.3","plain_difference":false,"primary":300,"prior":"flat","replicates":1,"resmell":false,"seats":[{"number":1,"panelist_id":"person-1"},{"number":2,"panelist_id":"person-2"},{"number":3,"panelist_id":"person-3"},{"number":4,"panelist_id":null}],"second_trial_id":"trial-8","skin_ages":[],"solo":false,"ties_allowed":true,"ties_rule":"drop","title":"Trial 7 against trial 8","warm_up":false,"zone":"UTC"},"servings":[{"age_seconds":300,"codes":["513","516","862"],"dips":[],"id":"e7df4d767153c149","medium":"strip","place":1,"replicate":1,"seat":1,"sites":[],"spare":false,"void":false},{"age_seconds":3600,"codes":["702","438","378"],"dips":[],"id":"5fcdf65c90fed9fa","medium":"strip","place":2,"replicate":1,"seat":1,"sites":[],"spare":false,"void":false},{"age_seconds":0,"codes":["263","716","562"],"dips":[],"id":"82e38c006b85390a","medium":"strip","place":3,"replicate":0,"seat":1,"sites":[],"spare":true,"void":false},{"age_seconds":300,"codes":["742","461","154"],"dips":[],"id":"de9b0a2347079de7","medium":"strip","place":1,"replicate":1,"seat":2,"sites":[],"spare":false,"void":false},{"age_seconds":3600,"codes":["705","359","160"],"dips":[],"id":"a3a6e871128b1b1a","medium":"strip","place":2,"replicate":1,"seat":2,"sites":[],"spare":false,"void":false},{"age_seconds":0,"codes":["594","813","649"],"dips":[],"id":"24d1dee95ce9f41d","medium":"strip","place":3,"replicate":0,"seat":2,"sites":[],"spare":true,"void":false},{"age_seconds":300,"codes":["395","945","260"],"dips":[],"id":"4a85f86300682a69","medium":"strip","place":1,"replicate":1,"seat":3,"sites":[],"spare":false,"void":false},{"age_seconds":3600,"codes":["867","941","298"],"dips":[],"id":"9f44c6ac72bf479f","medium":"strip","place":2,"replicate":1,"seat":3,"sites":[],"spare":false,"void":false},{"age_seconds":0,"codes":["864","968","691"],"dips":[],"id":"38a5d0e1f8c75dc6","medium":"strip","place":3,"replicate":0,"seat":3,"sites":[],"spare":true,"void":false},{"age_seconds":300,"codes":["850","721","812"],"dips":[],"id":"ea6bff080716e8b3","medium":"strip","place":1,"replicate":1,"seat":4,"sites":[],"spare":false,"void":false},{"age_seconds":3600,"codes":["236","730","203"],"dips":[],"id":"7705ffc0ef9e45c9","medium":"strip","place":2,"replicate":1,"seat":4,"sites":[],"spare":false,"void":false},{"age_seconds":0,"codes":["197","832","690"],"dips":[],"id":"8a763d30c40b3727","medium":"strip","place":3,"replicate":0,"seat":4,"sites":[],"spare":true,"void":false}]},"version":1}','8c1620c3a6f66d558e0bed8eb0469bc94b05bbc31ad7e2031305d5df49c7bba6');
INSERT INTO "records" VALUES('session',2,1767168000004,'start','{"value":{},"version":1}','998e273ad5dd4b60b590b7aac5cf4e0e0bc3bfc833f801455c840d7323cc26b5');
INSERT INTO "records" VALUES('session',3,1767168000005,'answer','{"value":{"at":5000,"ballot_id":"e0a87778ce46d814","question":"choice","serving_id":"e7df4d767153c149","value":"513"},"version":1}','3e06aef870fdc489820102ea9b4a60453db5cc408ce8f39dcb0daedc31e861bd');
INSERT INTO "records" VALUES('session',4,1767168000006,'answer','{"value":{"at":5000,"ballot_id":"e0a87778ce46d814","question":"remark","remark":{"digest":"67c7a29a50577374ad02552e03a0a1dbf6fd7b1e1fd3189a38cc50fff14a6c9d"},"serving_id":"e7df4d767153c149"},"version":1}','80028f89b532f73d481756bd00d575e144e55aa5fa04f9fb44f36d1310d7d870');
INSERT INTO "records" VALUES('session',5,1767168000007,'void serving','{"value":{"reason":{"digest":"bc45388fd51d26404a5e543cae1e8ba425e65b436efdec1137555c7d197bd9d9"},"seat":2,"serving_id":"de9b0a2347079de7","spare_id":"24d1dee95ce9f41d"},"version":1}','c0d98086f22ae544f0580f8da2ac911a9bef0460d308064046c9dd41780554c1');
INSERT INTO "records" VALUES('alone',1,1767168000009,'seal','{"value":{"ballots":[{"id":"4175a85262fb9a1e","panelist_id":"person-1","seat":1}],"commitment":"ba2c4de5bc565fc37c45a1d0f3c09f893065399efe6721abda3508562a3fbe60","hash":"26aaaec58b1ab1638dc15a3ea6554916427fb04864fb8b374b66c90dc035bf3f","plan":{"ages":[{"seconds":300,"tolerance_seconds":30}],"alpha":"0.05","asks_liking":false,"asks_nearer":true,"asks_strength":true,"beta":"0.05","brief_id":"brief","confirmed":[],"descriptor":"","descriptor_order":"fixed","descriptors":[],"expected":"","expected_order":[],"first_trial_id":"trial-7","left_out":["wrong strip","ruined strip","unblinded"],"look_every":0,"medium":"strip","method":"triangle","null_sets":0,"other_trial_ids":[],"pairs_each":0,"pd":"0.3","plain_difference":false,"primary":300,"prior":"flat","replicates":2,"resmell":false,"seats":[{"number":1,"panelist_id":"person-1"}],"second_trial_id":"trial-8","skin_ages":[],"solo":true,"ties_allowed":true,"ties_rule":"drop","title":"Trial 7 against trial 8","warm_up":false,"zone":"UTC"},"servings":[{"age_seconds":300,"codes":["513","516","862"],"dips":[],"id":"70f7976e69173734","medium":"strip","place":1,"replicate":1,"seat":1,"sites":[],"spare":false,"void":false},{"age_seconds":300,"codes":["702","438","378"],"dips":[],"id":"9e23d72fcd70b4c6","medium":"strip","place":2,"replicate":2,"seat":1,"sites":[],"spare":false,"void":false},{"age_seconds":0,"codes":["263","716","562"],"dips":[],"id":"8df12cafd89bcbb7","medium":"strip","place":3,"replicate":0,"seat":1,"sites":[],"spare":true,"void":false},{"age_seconds":0,"codes":["742","461","154"],"dips":[],"id":"9f0f98701b8e7074","medium":"strip","place":4,"replicate":0,"seat":1,"sites":[],"spare":true,"void":false},{"age_seconds":0,"codes":["705","359","160"],"dips":[],"id":"4b588634ded80baf","medium":"strip","place":5,"replicate":0,"seat":1,"sites":[],"spare":true,"void":false},{"age_seconds":0,"codes":["594","813","649"],"dips":[],"id":"72538d2d144b9ee8","medium":"strip","place":6,"replicate":0,"seat":1,"sites":[],"spare":true,"void":false}]},"version":1}','d51da081ef364cfa779bb9f7970539b32d19017846324321c9b0a2c204105a39');
INSERT INTO "records" VALUES('alone',2,1767168000010,'start','{"value":{},"version":1}','f7f5d5193ab245f8eb8dd1069f1a80569d79b3ec71c57b6eb97681d278a7452f');
INSERT INTO "records" VALUES('alone',3,1767168000011,'answer','{"value":{"at":5000,"ballot_id":"4175a85262fb9a1e","question":"choice","serving_id":"70f7976e69173734","value":"513"},"version":1}','f7729e0c10d012c6698bc4d5e950c8562227b4fccde9c50ba15ba7c76550d150');
INSERT INTO "records" VALUES('alone',4,1767168000012,'answer','{"value":{"at":5000,"ballot_id":"4175a85262fb9a1e","question":"choice","serving_id":"9e23d72fcd70b4c6","value":"702"},"version":1}','1ec88a69f526bcc01f720a3ffb92e71f6bed77829fbd647dab35af18f628d750');
INSERT INTO "records" VALUES('alone',5,1767168000013,'close','{"value":{},"version":1}','f4b23c583fbcf8935a504245ddbd15184c7c1d202165ade2175a2bd51bc40741');
INSERT INTO "records" VALUES('alone',6,1767168000014,'marks','{"value":{"orders":{"70f7976e69173734":"ABA","9e23d72fcd70b4c6":"BBA"}},"version":1}','73a9f162fcd8ddcab232d18368f06d3334d7d1871216ef5b3defeab23cc4b12f');
INSERT INTO "records" VALUES('with null sets',1,1767168000016,'seal','{"value":{"ballots":[{"id":"ff7e104023485fd4","panelist_id":"person-1","seat":1},{"id":"f8ed1773b7762212","panelist_id":"person-2","seat":2},{"id":"45b30300716f1b30","panelist_id":"person-3","seat":3},{"id":"4f3303714cb0e869","panelist_id":null,"seat":4}],"commitment":"c863a82601fb625b69e97c4cada4bc9d38f7c7710f51c1193d531b4a43748019","hash":"0f64f1c18f712fea6836bd5d863696d8cf99c367b399aae233004d3657a7bcfe","plan":{"ages":[{"seconds":300,"tolerance_seconds":30}],"alpha":"0.05","asks_liking":false,"asks_nearer":true,"asks_strength":true,"beta":"0.05","brief_id":"brief","confirmed":[],"descriptor":"","descriptor_order":"fixed","descriptors":[],"draw":"independent","expected":"","expected_order":[],"first_trial_id":"trial-7","left_out":["wrong strip","ruined strip","unblinded"],"look_every":0,"medium":"strip","method":"triangle","null_sets":1,"other_trial_ids":[],"pairs_each":0,"pd":"0.3","plain_difference":false,"primary":300,"prior":"flat","replicates":1,"resmell":false,"seats":[{"number":1,"panelist_id":"person-1"},{"number":2,"panelist_id":"person-2"},{"number":3,"panelist_id":"person-3"},{"number":4,"panelist_id":null}],"second_trial_id":"trial-8","skin_ages":[],"solo":false,"ties_allowed":true,"ties_rule":"drop","title":"Trial 7 against trial 8","warm_up":false,"zone":"UTC"},"servings":[{"age_seconds":300,"codes":["513","516","862"],"dips":[2,0,1],"id":"3f6a05426051d2c9","medium":"strip","place":1,"replicate":1,"seat":1,"sites":[],"spare":false,"void":false},{"age_seconds":300,"codes":["702","438","378"],"dips":[2,1,0],"id":"8ad85c79b34397a5","medium":"strip","place":2,"replicate":2,"seat":1,"sites":[],"spare":false,"void":false},{"age_seconds":0,"codes":["263","716","562"],"dips":[1,2,0],"id":"5879d625d8c3b8bd","medium":"strip","place":3,"replicate":0,"seat":1,"sites":[],"spare":true,"void":false},{"age_seconds":300,"codes":["742","461","154"],"dips":[1,2,0],"id":"eab4a68b417f9728","medium":"strip","place":1,"replicate":1,"seat":2,"sites":[],"spare":false,"void":false},{"age_seconds":300,"codes":["705","359","160"],"dips":[2,0,1],"id":"195f98b5ace943df","medium":"strip","place":2,"replicate":2,"seat":2,"sites":[],"spare":false,"void":false},{"age_seconds":0,"codes":["594","813","649"],"dips":[2,1,0],"id":"2b46dc80bc75e59b","medium":"strip","place":3,"replicate":0,"seat":2,"sites":[],"spare":true,"void":false},{"age_seconds":300,"codes":["395","945","260"],"dips":[2,1,0],"id":"60b6e5b3e314fbe8","medium":"strip","place":1,"replicate":1,"seat":3,"sites":[],"spare":false,"void":false},{"age_seconds":300,"codes":["867","941","298"],"dips":[2,0,1],"id":"69c069f6436fb0f7","medium":"strip","place":2,"replicate":2,"seat":3,"sites":[],"spare":false,"void":false},{"age_seconds":0,"codes":["864","968","691"],"dips":[0,1,2],"id":"55ad86ddd3035966","medium":"strip","place":3,"replicate":0,"seat":3,"sites":[],"spare":true,"void":false},{"age_seconds":300,"codes":["850","721","812"],"dips":[1,0,2],"id":"8e35a1fa213e3015","medium":"strip","place":1,"replicate":1,"seat":4,"sites":[],"spare":false,"void":false},{"age_seconds":300,"codes":["236","730","203"],"dips":[1,0,2],"id":"6fe3477be24d4a9a","medium":"strip","place":2,"replicate":2,"seat":4,"sites":[],"spare":false,"void":false},{"age_seconds":0,"codes":["197","832","690"],"dips":[1,2,0],"id":"9c1bd974f0f8e9da","medium":"strip","place":3,"replicate":0,"seat":4,"sites":[],"spare":true,"void":false}]},"version":1}','97187f0c968cfa6c89c876599c34134c7dedb9f81250bd38d9adcf027ffce050');
INSERT INTO "records" VALUES('session',6,1767168000018,'stop','{"value":{"ballot_id":"dec36b394d9ef47a","kind":"unwell"},"version":1}','6c0194ac4a3f651426dc7df8cabfb665e2ce6aebba9bab417ac09d4ff4bb7a62');
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
	void BOOLEAN NOT NULL, medium TEXT DEFAULT 'strip' NOT NULL, sites TEXT DEFAULT '' NOT NULL, dips TEXT DEFAULT '' NOT NULL, 
	CONSTRAINT pk_servings PRIMARY KEY (id), 
	CONSTRAINT fk_servings_session_id FOREIGN KEY(session_id) REFERENCES sessions (id), 
	CONSTRAINT uq_servings_session_id_position UNIQUE (session_id, position)
);
INSERT INTO "servings" VALUES('e7df4d767153c149','session',0,1,1,300,1,'513 516 862',0,0,'strip','','');
INSERT INTO "servings" VALUES('5fcdf65c90fed9fa','session',1,1,2,3600,1,'702 438 378',0,0,'strip','','');
INSERT INTO "servings" VALUES('82e38c006b85390a','session',2,1,3,0,0,'263 716 562',1,0,'strip','','');
INSERT INTO "servings" VALUES('de9b0a2347079de7','session',3,2,1,300,1,'742 461 154',0,1,'strip','','');
INSERT INTO "servings" VALUES('a3a6e871128b1b1a','session',4,2,2,3600,1,'705 359 160',0,0,'strip','','');
INSERT INTO "servings" VALUES('24d1dee95ce9f41d','session',5,2,1,300,1,'594 813 649',0,0,'strip','','');
INSERT INTO "servings" VALUES('4a85f86300682a69','session',6,3,1,300,1,'395 945 260',0,0,'strip','','');
INSERT INTO "servings" VALUES('9f44c6ac72bf479f','session',7,3,2,3600,1,'867 941 298',0,0,'strip','','');
INSERT INTO "servings" VALUES('38a5d0e1f8c75dc6','session',8,3,3,0,0,'864 968 691',1,0,'strip','','');
INSERT INTO "servings" VALUES('ea6bff080716e8b3','session',9,4,1,300,1,'850 721 812',0,0,'strip','','');
INSERT INTO "servings" VALUES('7705ffc0ef9e45c9','session',10,4,2,3600,1,'236 730 203',0,0,'strip','','');
INSERT INTO "servings" VALUES('8a763d30c40b3727','session',11,4,3,0,0,'197 832 690',1,0,'strip','','');
INSERT INTO "servings" VALUES('70f7976e69173734','alone',0,1,1,300,1,'513 516 862',0,0,'strip','','');
INSERT INTO "servings" VALUES('9e23d72fcd70b4c6','alone',1,1,2,300,2,'702 438 378',0,0,'strip','','');
INSERT INTO "servings" VALUES('8df12cafd89bcbb7','alone',2,1,3,0,0,'263 716 562',1,0,'strip','','');
INSERT INTO "servings" VALUES('9f0f98701b8e7074','alone',3,1,4,0,0,'742 461 154',1,0,'strip','','');
INSERT INTO "servings" VALUES('4b588634ded80baf','alone',4,1,5,0,0,'705 359 160',1,0,'strip','','');
INSERT INTO "servings" VALUES('72538d2d144b9ee8','alone',5,1,6,0,0,'594 813 649',1,0,'strip','','');
INSERT INTO "servings" VALUES('3f6a05426051d2c9','with null sets',0,1,1,300,1,'513 516 862',0,0,'strip','','2 0 1');
INSERT INTO "servings" VALUES('8ad85c79b34397a5','with null sets',1,1,2,300,2,'702 438 378',0,0,'strip','','2 1 0');
INSERT INTO "servings" VALUES('5879d625d8c3b8bd','with null sets',2,1,3,0,0,'263 716 562',1,0,'strip','','1 2 0');
INSERT INTO "servings" VALUES('eab4a68b417f9728','with null sets',3,2,1,300,1,'742 461 154',0,0,'strip','','1 2 0');
INSERT INTO "servings" VALUES('195f98b5ace943df','with null sets',4,2,2,300,2,'705 359 160',0,0,'strip','','2 0 1');
INSERT INTO "servings" VALUES('2b46dc80bc75e59b','with null sets',5,2,3,0,0,'594 813 649',1,0,'strip','','2 1 0');
INSERT INTO "servings" VALUES('60b6e5b3e314fbe8','with null sets',6,3,1,300,1,'395 945 260',0,0,'strip','','2 1 0');
INSERT INTO "servings" VALUES('69c069f6436fb0f7','with null sets',7,3,2,300,2,'867 941 298',0,0,'strip','','2 0 1');
INSERT INTO "servings" VALUES('55ad86ddd3035966','with null sets',8,3,3,0,0,'864 968 691',1,0,'strip','','0 1 2');
INSERT INTO "servings" VALUES('8e35a1fa213e3015','with null sets',9,4,1,300,1,'850 721 812',0,0,'strip','','1 0 2');
INSERT INTO "servings" VALUES('6fe3477be24d4a9a','with null sets',10,4,2,300,2,'236 730 203',0,0,'strip','','1 0 2');
INSERT INTO "servings" VALUES('9c1bd974f0f8e9da','with null sets',11,4,3,0,0,'197 832 690',1,0,'strip','','1 2 0');
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
INSERT INTO "sessions" VALUES('session','brief','trial-7','trial-8','{"value":{"ages":[{"seconds":300,"tolerance_seconds":30},{"seconds":3600,"tolerance_seconds":360}],"alpha":"0.05","asks_liking":false,"asks_nearer":true,"asks_strength":true,"beta":"0.05","brief_id":"brief","confirmed":[],"descriptor":"","descriptor_order":"fixed","descriptors":[],"expected":"","expected_order":[],"first_trial_id":"trial-7","left_out":["wrong strip","ruined strip","unblinded"],"look_every":0,"medium":"strip","method":"triangle","null_sets":0,"other_trial_ids":[],"pairs_each":0,"pd":"0.3","plain_difference":false,"primary":300,"prior":"flat","replicates":1,"resmell":false,"seats":[{"number":1,"panelist_id":"person-1"},{"number":2,"panelist_id":"person-2"},{"number":3,"panelist_id":"person-3"},{"number":4,"panelist_id":null}],"second_trial_id":"trial-8","skin_ages":[],"solo":false,"ties_allowed":true,"ties_rule":"drop","title":"Trial 7 against trial 8","warm_up":false,"zone":"UTC"},"version":1}','smelling',2000,1767168000002,'7d2924a0862710910159e8e2a9e0d1160066d51b1e9dd1fc6295a1ab83d89f2d','80a36c7e364919a60c9e2561c8372c9437979ec79103991a7360c5ccd4378f8a');
INSERT INTO "sessions" VALUES('alone','brief','trial-7','trial-8','{"value":{"ages":[{"seconds":300,"tolerance_seconds":30}],"alpha":"0.05","asks_liking":false,"asks_nearer":true,"asks_strength":true,"beta":"0.05","brief_id":"brief","confirmed":[],"descriptor":"","descriptor_order":"fixed","descriptors":[],"expected":"","expected_order":[],"first_trial_id":"trial-7","left_out":["wrong strip","ruined strip","unblinded"],"look_every":0,"medium":"strip","method":"triangle","null_sets":0,"other_trial_ids":[],"pairs_each":0,"pd":"0.3","plain_difference":false,"primary":300,"prior":"flat","replicates":2,"resmell":false,"seats":[{"number":1,"panelist_id":"person-1"}],"second_trial_id":"trial-8","skin_ages":[],"solo":true,"ties_allowed":true,"ties_rule":"drop","title":"Trial 7 against trial 8","warm_up":false,"zone":"UTC"},"version":1}','closed',2000,1767168000008,'26aaaec58b1ab1638dc15a3ea6554916427fb04864fb8b374b66c90dc035bf3f','ba2c4de5bc565fc37c45a1d0f3c09f893065399efe6721abda3508562a3fbe60');
INSERT INTO "sessions" VALUES('with null sets','brief','trial-7','trial-8','{"value":{"ages":[{"seconds":300,"tolerance_seconds":30}],"alpha":"0.05","asks_liking":false,"asks_nearer":true,"asks_strength":true,"beta":"0.05","brief_id":"brief","confirmed":[],"descriptor":"","descriptor_order":"fixed","descriptors":[],"draw":"independent","expected":"","expected_order":[],"first_trial_id":"trial-7","left_out":["wrong strip","ruined strip","unblinded"],"look_every":0,"medium":"strip","method":"triangle","null_sets":1,"other_trial_ids":[],"pairs_each":0,"pd":"0.3","plain_difference":false,"primary":300,"prior":"flat","replicates":1,"resmell":false,"seats":[{"number":1,"panelist_id":"person-1"},{"number":2,"panelist_id":"person-2"},{"number":3,"panelist_id":"person-3"},{"number":4,"panelist_id":null}],"second_trial_id":"trial-8","skin_ages":[],"solo":false,"ties_allowed":true,"ties_rule":"drop","title":"Trial 7 against trial 8","warm_up":false,"zone":"UTC"},"version":1}','sealed',2000,1767168000015,'0f64f1c18f712fea6836bd5d863696d8cf99c367b399aae233004d3657a7bcfe','c863a82601fb625b69e97c4cada4bc9d38f7c7710f51c1193d531b4a43748019');
CREATE TABLE settings (
	name TEXT NOT NULL, 
	value TEXT NOT NULL, 
	CONSTRAINT pk_settings PRIMARY KEY (name)
);
INSERT INTO "settings" VALUES('base url','http://127.0.0.1:8501');
CREATE TABLE skin_bars (
	id INTEGER NOT NULL, 
	trial_id TEXT NOT NULL, 
	session_id TEXT, 
	kind TEXT NOT NULL, 
	reason TEXT NOT NULL, 
	at BIGINT NOT NULL, 
	CONSTRAINT pk_skin_bars PRIMARY KEY (id), 
	CONSTRAINT fk_skin_bars_session_id FOREIGN KEY(session_id) REFERENCES sessions (id), 
	CONSTRAINT fk_skin_bars_trial_id FOREIGN KEY(trial_id) REFERENCES trials (id)
);
CREATE TABLE skin_facts (
	id INTEGER NOT NULL, 
	panelist_id TEXT NOT NULL, 
	body TEXT NOT NULL, 
	at BIGINT NOT NULL, 
	CONSTRAINT pk_skin_facts PRIMARY KEY (id), 
	CONSTRAINT fk_skin_facts_panelist_id FOREIGN KEY(panelist_id) REFERENCES panelists (id)
);
CREATE TABLE skin_limits (
	id INTEGER NOT NULL, 
	material_id TEXT NOT NULL, 
	percent TEXT NOT NULL, 
	document TEXT NOT NULL, 
	dated_on DATE NOT NULL, 
	kind_of_use TEXT NOT NULL, 
	at BIGINT NOT NULL, 
	CONSTRAINT pk_skin_limits PRIMARY KEY (id), 
	CONSTRAINT fk_skin_limits_material_id FOREIGN KEY(material_id) REFERENCES materials (id)
);
INSERT INTO "skin_limits" VALUES(1,'m1','0.4','invented sheet 4','2020-02-01','left on skin',1767168000017);
CREATE TABLE skin_log (
	id INTEGER NOT NULL, 
	kind TEXT NOT NULL, 
	panelist_id TEXT, 
	body TEXT NOT NULL, 
	at BIGINT NOT NULL, 
	CONSTRAINT pk_skin_log PRIMARY KEY (id), 
	CONSTRAINT fk_skin_log_panelist_id FOREIGN KEY(panelist_id) REFERENCES panelists (id)
);
INSERT INTO "skin_log" VALUES(1,'limit confirmed',NULL,'{"value":{"limit":1,"material":"m1","who":"Ida Fern, chemist"},"version":1}',1767168000017);
INSERT INTO "skin_log" VALUES(2,'patch put on','person-1','{"value":{"patch":"p1"},"version":1}',1767168000017);
INSERT INTO "skin_log" VALUES(3,'patch put on','person-1','{"value":{"patch":"p2"},"version":1}',1767168000017);
INSERT INTO "skin_log" VALUES(4,'patch put on','person-1','{"value":{"patch":"p3"},"version":1}',1767168000017);
INSERT INTO "skin_log" VALUES(5,'reading','person-1','{"value":{"note":"","patch":"p1","result":"clear"},"version":1}',1767348000017);
INSERT INTO "skin_log" VALUES(6,'reading','person-1','{"value":{"note":"","patch":"p1","result":"clear"},"version":1}',1767438000017);
INSERT INTO "skin_log" VALUES(7,'asked what changed','person-1','{"value":{"changed":["batch"],"patch":"p1"},"version":1}',1770408000017);
INSERT INTO "skin_log" VALUES(8,'reading','person-1','{"value":{"note":"red","patch":"p2","result":"reaction"},"version":1}',1767276000017);
INSERT INTO "skin_log" VALUES(9,'patch cancelled','person-1','{"value":{"patch":"p3","reason":"washed off"},"version":1}',1767276000017);
INSERT INTO "skin_log" VALUES(10,'reaction','person-1','{"value":{"materials":["m1"],"note":"","patch":"p2","session":"","trials":["trial-7"]},"version":1}',1767276000017);
INSERT INTO "skin_log" VALUES(11,'may be applied again',NULL,'{"value":{"materials":["m1"],"reason":"it was the soap"},"version":1}',1767312000017);
INSERT INTO "skin_log" VALUES(12,'advice','person-1','{"value":{"given_on":"2026-01-02","materials":["m1"],"note":"","who":"Dr Ida Fern"},"version":1}',1767312000017);
INSERT INTO "skin_log" VALUES(13,'stop explained','person-2','{"value":{"reason":"too warm a room"},"version":1}',1767312000017);
CREATE TABLE stops (
	id INTEGER NOT NULL, 
	session_id TEXT NOT NULL, 
	ballot_id TEXT NOT NULL, 
	kind TEXT NOT NULL, 
	at BIGINT NOT NULL, 
	sequence INTEGER NOT NULL, 
	CONSTRAINT pk_stops PRIMARY KEY (id), 
	CONSTRAINT fk_stops_ballot_id FOREIGN KEY(ballot_id) REFERENCES ballots (id), 
	CONSTRAINT fk_stops_session_id FOREIGN KEY(session_id) REFERENCES sessions (id), 
	CONSTRAINT fk_stops_session_id_sequence FOREIGN KEY(session_id, sequence) REFERENCES records (session_id, sequence)
);
INSERT INTO "stops" VALUES(1,'session','dec36b394d9ef47a','unwell',1767168000018,6);
CREATE TABLE timetables (
	id INTEGER NOT NULL, 
	session_id TEXT NOT NULL, 
	revision INTEGER NOT NULL, 
	body TEXT NOT NULL, 
	at BIGINT NOT NULL, 
	sequence INTEGER NOT NULL, 
	CONSTRAINT pk_timetables PRIMARY KEY (id), 
	CONSTRAINT fk_timetables_session_id FOREIGN KEY(session_id) REFERENCES sessions (id), 
	CONSTRAINT fk_timetables_session_id_sequence FOREIGN KEY(session_id, sequence) REFERENCES records (session_id, sequence), 
	CONSTRAINT uq_timetables_session_id_revision UNIQUE (session_id, revision)
);
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
	made_at BIGINT NOT NULL, skin_strength_percent TEXT, 
	CONSTRAINT pk_trials PRIMARY KEY (id), 
	CONSTRAINT fk_trials_brief_id FOREIGN KEY(brief_id) REFERENCES briefs (id), 
	CONSTRAINT fk_trials_parent_id FOREIGN KEY(parent_id) REFERENCES trials (id), 
	CONSTRAINT uq_trials_brief_id_label UNIQUE (brief_id, label)
);
INSERT INTO "trials" VALUES('trial-7','brief','7',NULL,'','12.50',NULL,NULL,'',1000,NULL);
INSERT INTO "trials" VALUES('trial-8','brief','8','trial-7','vetiver 2 to 3','12.50',NULL,NULL,'',1000,NULL);
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
CREATE INDEX ix_answers_drafts ON answers (ballot_id, serving_id) WHERE final = 0;
CREATE INDEX ix_brief_sheets_brief_id ON brief_sheets (brief_id);
CREATE INDEX ix_skin_limits_material_id ON skin_limits (material_id);
CREATE INDEX ix_skin_bars_trial_id ON skin_bars (trial_id);
CREATE INDEX ix_skin_facts_panelist_id ON skin_facts (panelist_id);
CREATE INDEX ix_patches_panelist_id ON patches (panelist_id);
CREATE INDEX ix_dips_session_id ON dips (session_id);
CREATE INDEX ix_stops_session_id ON stops (session_id);
CREATE INDEX ix_skin_log_panelist_id ON skin_log (panelist_id);
CREATE UNIQUE INDEX ix_materials_folded ON materials (folded);
COMMIT;
