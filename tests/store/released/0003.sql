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
INSERT INTO "answers" VALUES(1,'session','c7c70d90cc3b79ff','63c519acce8af506','63c519acce8af506','choice','513',NULL,5000,1,3);
INSERT INTO "answers" VALUES(2,'session','c7c70d90cc3b79ff','63c519acce8af506','63c519acce8af506','remark','','867f21f7daa6e8f6aac0d4d6f24f312a26115854a1e3534e34ba5cfb4283d626',5000,1,4);
INSERT INTO "answers" VALUES(3,'alone','cf03455f78550960','77b680334895790e','77b680334895790e','choice','513',NULL,5000,1,3);
INSERT INTO "answers" VALUES(4,'alone','cf03455f78550960','9cb89ba5bf193396','9cb89ba5bf193396','choice','702',NULL,5000,1,4);
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
INSERT INTO "ballots" VALUES('c7c70d90cc3b79ff','session',1,'person-1',1,NULL,NULL);
INSERT INTO "ballots" VALUES('51819461e87fa287','session',2,'person-2',1,NULL,NULL);
INSERT INTO "ballots" VALUES('b291ad22c87a4bf7','session',3,'person-3',1,NULL,NULL);
INSERT INTO "ballots" VALUES('b9591e12369d335b','session',4,NULL,1,NULL,NULL);
INSERT INTO "ballots" VALUES('cf03455f78550960','alone',1,'person-1',1,NULL,NULL);
INSERT INTO "ballots" VALUES('602d9ff1e8d25c88','with null sets',1,'person-1',1,NULL,NULL);
INSERT INTO "ballots" VALUES('987cfeff670fa16a','with null sets',2,'person-2',1,NULL,NULL);
INSERT INTO "ballots" VALUES('ca0321652f922fed','with null sets',3,'person-3',1,NULL,NULL);
INSERT INTO "ballots" VALUES('a8bde292ef949ada','with null sets',4,NULL,1,NULL,NULL);
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
CREATE TABLE groupings (
	serving_id TEXT NOT NULL, 
	pattern TEXT NOT NULL, 
	CONSTRAINT pk_groupings PRIMARY KEY (serving_id), 
	CONSTRAINT fk_groupings_serving_id FOREIGN KEY(serving_id) REFERENCES servings (id)
);
INSERT INTO "groupings" VALUES('63c519acce8af506','YYX');
INSERT INTO "groupings" VALUES('a725fa97eddf56bc','YXY');
INSERT INTO "groupings" VALUES('7313e4629e0f8a41','YXX');
INSERT INTO "groupings" VALUES('15c0c2bf073a14b2','XYX');
INSERT INTO "groupings" VALUES('57a12c1a87c4eb5f','XXY');
INSERT INTO "groupings" VALUES('23f2f6b044a49c88','YXY');
INSERT INTO "groupings" VALUES('62214613ea4b0c73','YYX');
INSERT INTO "groupings" VALUES('4b90e4234b68684f','YXY');
INSERT INTO "groupings" VALUES('c0264467f9f95b6d','XXY');
INSERT INTO "groupings" VALUES('0bfaf5395ebe83d2','YXX');
INSERT INTO "groupings" VALUES('9007ab4cb43f383f','XYX');
INSERT INTO "groupings" VALUES('4e483ed9d393b012','YXY');
INSERT INTO "groupings" VALUES('77b680334895790e','');
INSERT INTO "groupings" VALUES('9cb89ba5bf193396','');
INSERT INTO "groupings" VALUES('771656d36b888afe','bYY');
INSERT INTO "groupings" VALUES('bf44f1f4eb53b744','bbX');
INSERT INTO "groupings" VALUES('f3e24fdab3b4b540','bXX');
INSERT INTO "groupings" VALUES('aa5de7cd888fa92c','XaX');
INSERT INTO "groupings" VALUES('439f8ceb087eaa9b','aYa');
INSERT INTO "groupings" VALUES('4100bac0a1364ef0','aXa');
INSERT INTO "groupings" VALUES('75a8bef6b5aecbf2','aab');
INSERT INTO "groupings" VALUES('c31b1ce5c94701e2','YaY');
INSERT INTO "groupings" VALUES('9c6f16e72808f170','bbY');
INSERT INTO "groupings" VALUES('ba9a6c7b185a8558','baa');
INSERT INTO "groupings" VALUES('4a89dc269c92e084','bYY');
INSERT INTO "groupings" VALUES('f7caf11053133ecc','bab');
CREATE TABLE heads (
	session_id TEXT NOT NULL, 
	sequence INTEGER NOT NULL, 
	hash TEXT NOT NULL, 
	CONSTRAINT pk_heads PRIMARY KEY (session_id), 
	CONSTRAINT fk_heads_session_id FOREIGN KEY(session_id) REFERENCES sessions (id)
);
INSERT INTO "heads" VALUES('session',5,'9a22d4e36133008cbc2ebdfcb604979be4bc59fb0dcc3dcf9ed2ec9d5a322342');
INSERT INTO "heads" VALUES('alone',6,'a8a1ea9c6ad12b8fd5ee0bb1df9ecd203f5c0940141fa65be8dc4bdd829b6bd5');
INSERT INTO "heads" VALUES('with null sets',1,'706d17e2ef7244d8d2c016e69c9b50de58e2c163390542daaeec0f0af92c2e97');
CREATE TABLE key_orders (
	serving_id TEXT NOT NULL, 
	trials TEXT NOT NULL, 
	CONSTRAINT pk_key_orders PRIMARY KEY (serving_id), 
	CONSTRAINT fk_key_orders_serving_id FOREIGN KEY(serving_id) REFERENCES servings (id)
);
INSERT INTO "key_orders" VALUES('63c519acce8af506','BBA');
INSERT INTO "key_orders" VALUES('a725fa97eddf56bc','BAB');
INSERT INTO "key_orders" VALUES('7313e4629e0f8a41','BAA');
INSERT INTO "key_orders" VALUES('15c0c2bf073a14b2','BAB');
INSERT INTO "key_orders" VALUES('57a12c1a87c4eb5f','BBA');
INSERT INTO "key_orders" VALUES('23f2f6b044a49c88','ABA');
INSERT INTO "key_orders" VALUES('62214613ea4b0c73','AAB');
INSERT INTO "key_orders" VALUES('4b90e4234b68684f','ABA');
INSERT INTO "key_orders" VALUES('c0264467f9f95b6d','BBA');
INSERT INTO "key_orders" VALUES('0bfaf5395ebe83d2','BAA');
INSERT INTO "key_orders" VALUES('9007ab4cb43f383f','ABA');
INSERT INTO "key_orders" VALUES('4e483ed9d393b012','BAB');
INSERT INTO "key_orders" VALUES('77b680334895790e','');
INSERT INTO "key_orders" VALUES('9cb89ba5bf193396','');
INSERT INTO "key_orders" VALUES('771656d36b888afe','bBB');
INSERT INTO "key_orders" VALUES('bf44f1f4eb53b744','bbA');
INSERT INTO "key_orders" VALUES('f3e24fdab3b4b540','bAA');
INSERT INTO "key_orders" VALUES('aa5de7cd888fa92c','BaB');
INSERT INTO "key_orders" VALUES('439f8ceb087eaa9b','aAa');
INSERT INTO "key_orders" VALUES('4100bac0a1364ef0','aBa');
INSERT INTO "key_orders" VALUES('75a8bef6b5aecbf2','aab');
INSERT INTO "key_orders" VALUES('c31b1ce5c94701e2','AaA');
INSERT INTO "key_orders" VALUES('9c6f16e72808f170','bbA');
INSERT INTO "key_orders" VALUES('ba9a6c7b185a8558','baa');
INSERT INTO "key_orders" VALUES('4a89dc269c92e084','bBB');
INSERT INTO "key_orders" VALUES('f7caf11053133ecc','bab');
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
INSERT INTO "marks" VALUES('77b680334895790e','ABA',1767168000013,6);
INSERT INTO "marks" VALUES('9cb89ba5bf193396','BBA',1767168000013,6);
CREATE TABLE materials (
	id TEXT NOT NULL, 
	name TEXT NOT NULL, 
	volatility TEXT NOT NULL, 
	"natural" BOOLEAN NOT NULL, 
	phototoxic BOOLEAN NOT NULL, 
	note TEXT NOT NULL, 
	made_at BIGINT NOT NULL, 
	CONSTRAINT pk_materials PRIMARY KEY (id), 
	CONSTRAINT uq_materials_name UNIQUE (name)
);
CREATE TABLE mouillette_schema (
	version_num VARCHAR(32) NOT NULL, 
	CONSTRAINT mouillette_schema_pkc PRIMARY KEY (version_num)
);
INSERT INTO "mouillette_schema" VALUES('0003_dry_down');
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
	read_at BIGINT, 
	result TEXT NOT NULL, 
	note TEXT NOT NULL, 
	CONSTRAINT pk_patches PRIMARY KEY (id), 
	CONSTRAINT fk_patches_panelist_id FOREIGN KEY(panelist_id) REFERENCES panelists (id), 
	CONSTRAINT fk_patches_trial_id FOREIGN KEY(trial_id) REFERENCES trials (id)
);
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
INSERT INTO "personal_texts" VALUES('867f21f7daa6e8f6aac0d4d6f24f312a26115854a1e3534e34ba5cfb4283d626','session','person-1','eccabd53e2f40d58535fdf4717a88216','greener than I thought');
INSERT INTO "personal_texts" VALUES('50accd0e1ee51230b47b95552dbf342e9ae9ec89c2e1b288b036231b98ded92c','session','person-2','c5c32d4d4124596076a3f4369caf65f5','fell on the floor');
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
INSERT INTO "records" VALUES('session',1,1767168000002,'seal','{"value":{"ballots":[{"id":"c7c70d90cc3b79ff","panelist_id":"person-1","seat":1},{"id":"51819461e87fa287","panelist_id":"person-2","seat":2},{"id":"b291ad22c87a4bf7","panelist_id":"person-3","seat":3},{"id":"b9591e12369d335b","panelist_id":null,"seat":4}],"commitment":"8b8a54ffb52d7fb17b2f65ae75d6054358070ab7ef51639ac2264a4bfe72f7df","hash":"7d2924a0862710910159e8e2a9e0d1160066d51b1e9dd1fc6295a1ab83d89f2d","plan":{"ages":[{"seconds":300,"tolerance_seconds":30},{"seconds":3600,"tolerance_seconds":360}],"alpha":"0.05","asks_liking":false,"asks_nearer":true,"asks_strength":true,"beta":"0.05","brief_id":"brief","confirmed":[],"descriptor":"","descriptor_order":"fixed","descriptors":[],"expected":"","expected_order":[],"first_trial_id":"trial-7","left_out":["wrong strip","ruined strip","unblinded"],"look_every":0,"medium":"strip","method":"triangle","null_sets":0,"other_trial_ids":[],"pairs_each":0,"pd":"0.3","plain_difference":false,"primary":300,"prior":"flat","replicates":1,"resmell":false,"seats":[{"number":1,"panelist_id":"person-1"},{"number":2,"panelist_id":"person-2"},{"number":3,"panelist_id":"person-3"},{"number":4,"panelist_id":null}],"second_trial_id":"trial-8","skin_ages":[],"solo":false,"ties_allowed":true,"ties_rule":"drop","title":"Trial 7 against trial 8","warm_up":false,"zone":"UTC"},"servings":[{"age_seconds":300,"codes":["513","516","862"],"id":"63c519acce8af506","medium":"strip","place":1,"replicate":1,"seat":1,"sites":[],"spare":false,"void":false},{"age_seconds":3600,"codes":["702","438","378"],"id":"a725fa97eddf56bc","medium":"strip","place":2,"replicate":1,"seat":1,"sites":[],"spare":false,"void":false},{"age_seconds":0,"codes":["263","716","562"],"id":"7313e4629e0f8a41","medium":"strip","place":3,"replicate":0,"seat":1,"sites":[],"spare":true,"void":false},{"age_seconds":300,"codes":["742","461","154"],"id":"15c0c2bf073a14b2","medium":"strip","place":1,"replicate":1,"seat":2,"sites":[],"spare":false,"void":false},{"age_seconds":3600,"codes":["705","359","160"],"id":"57a12c1a87c4eb5f","medium":"strip","place":2,"replicate":1,"seat":2,"sites":[],"spare":false,"void":false},{"age_seconds":0,"codes":["594","813","649"],"id":"23f2f6b044a49c88","medium":"strip","place":3,"replicate":0,"seat":2,"sites":[],"spare":true,"void":false},{"age_seconds":300,"codes":["395","945","260"],"id":"62214613ea4b0c73","medium":"strip","place":1,"replicate":1,"seat":3,"sites":[],"spare":false,"void":false},{"age_seconds":3600,"codes":["867","941","298"],"id":"4b90e4234b68684f","medium":"strip","place":2,"replicate":1,"seat":3,"sites":[],"spare":false,"void":false},{"age_seconds":0,"codes":["864","968","691"],"id":"c0264467f9f95b6d","medium":"strip","place":3,"replicate":0,"seat":3,"sites":[],"spare":true,"void":false},{"age_seconds":300,"codes":["850","721","812"],"id":"0bfaf5395ebe83d2","medium":"strip","place":1,"replicate":1,"seat":4,"sites":[],"spare":false,"void":false},{"age_seconds":3600,"codes":["236","730","203"],"id":"9007ab4cb43f383f","medium":"strip","place":2,"replicate":1,"seat":4,"sites":[],"spare":false,"void":false},{"age_seconds":0,"codes":["197","832","690"],"id":"4e483ed9d393b012","medium":"strip","place":3,"replicate":0,"seat":4,"sites":[],"spare":true,"void":false}]},"version":1}','3c46ca6f597a34de3f399ad99944d70d69053b3e191c00923df32121ab0c12f4');
INSERT INTO "records" VALUES('session',2,1767168000003,'start','{"value":{},"version":1}','e513b90865a4e4830a969e4d8e9b52b205aca72508275918f6547cb3fcbfcbc5');
INSERT INTO "records" VALUES('session',3,1767168000004,'answer','{"value":{"at":5000,"ballot_id":"c7c70d90cc3b79ff","question":"choice","serving_id":"63c519acce8af506","value":"513"},"version":1}','c196c83ec162855d23d24e35bf465b68a4510f11a3f8feebd112053e114c9272');
INSERT INTO "records" VALUES('session',4,1767168000005,'answer','{"value":{"at":5000,"ballot_id":"c7c70d90cc3b79ff","question":"remark","remark":{"digest":"867f21f7daa6e8f6aac0d4d6f24f312a26115854a1e3534e34ba5cfb4283d626"},"serving_id":"63c519acce8af506"},"version":1}','c34639b15cf82f10d36b9bac4752f0cc05ab6fec3bd143ba98fec66628666ad4');
INSERT INTO "records" VALUES('session',5,1767168000006,'void serving','{"value":{"reason":{"digest":"50accd0e1ee51230b47b95552dbf342e9ae9ec89c2e1b288b036231b98ded92c"},"seat":2,"serving_id":"15c0c2bf073a14b2","spare_id":"23f2f6b044a49c88"},"version":1}','9a22d4e36133008cbc2ebdfcb604979be4bc59fb0dcc3dcf9ed2ec9d5a322342');
INSERT INTO "records" VALUES('alone',1,1767168000008,'seal','{"value":{"ballots":[{"id":"cf03455f78550960","panelist_id":"person-1","seat":1}],"commitment":"f4fde8dd95a3faf1c29eeaa0d511f9bb9814e6b184a64ae6f844e60a72b89da4","hash":"26aaaec58b1ab1638dc15a3ea6554916427fb04864fb8b374b66c90dc035bf3f","plan":{"ages":[{"seconds":300,"tolerance_seconds":30}],"alpha":"0.05","asks_liking":false,"asks_nearer":true,"asks_strength":true,"beta":"0.05","brief_id":"brief","confirmed":[],"descriptor":"","descriptor_order":"fixed","descriptors":[],"expected":"","expected_order":[],"first_trial_id":"trial-7","left_out":["wrong strip","ruined strip","unblinded"],"look_every":0,"medium":"strip","method":"triangle","null_sets":0,"other_trial_ids":[],"pairs_each":0,"pd":"0.3","plain_difference":false,"primary":300,"prior":"flat","replicates":2,"resmell":false,"seats":[{"number":1,"panelist_id":"person-1"}],"second_trial_id":"trial-8","skin_ages":[],"solo":true,"ties_allowed":true,"ties_rule":"drop","title":"Trial 7 against trial 8","warm_up":false,"zone":"UTC"},"servings":[{"age_seconds":300,"codes":["513","516","862"],"id":"77b680334895790e","medium":"strip","place":1,"replicate":1,"seat":1,"sites":[],"spare":false,"void":false},{"age_seconds":300,"codes":["702","438","378"],"id":"9cb89ba5bf193396","medium":"strip","place":2,"replicate":2,"seat":1,"sites":[],"spare":false,"void":false}]},"version":1}','10533b77c274133d7e96a2dea3023323968c5da3fa934912a204855d4e29fe9e');
INSERT INTO "records" VALUES('alone',2,1767168000009,'start','{"value":{},"version":1}','9c71fe62a352a60ce83f99d03f96c064be5e91f395a679ea41854d7626a4e123');
INSERT INTO "records" VALUES('alone',3,1767168000010,'answer','{"value":{"at":5000,"ballot_id":"cf03455f78550960","question":"choice","serving_id":"77b680334895790e","value":"513"},"version":1}','838a877a1219b6b53b335099488eaf5131072d3a1c2331d50d2955f65a039c26');
INSERT INTO "records" VALUES('alone',4,1767168000011,'answer','{"value":{"at":5000,"ballot_id":"cf03455f78550960","question":"choice","serving_id":"9cb89ba5bf193396","value":"702"},"version":1}','2414a127a89ad52b1aee65708e5364f95d61c18fd5cc1fb3d4ca78a4144a334e');
INSERT INTO "records" VALUES('alone',5,1767168000012,'close','{"value":{},"version":1}','bf36da33abb1b28ebfbbb4b7ccf5f18b77151f8c20f4fa6a97a5ade0ae9b1ee5');
INSERT INTO "records" VALUES('alone',6,1767168000013,'marks','{"value":{"orders":{"77b680334895790e":"ABA","9cb89ba5bf193396":"BBA"}},"version":1}','a8a1ea9c6ad12b8fd5ee0bb1df9ecd203f5c0940141fa65be8dc4bdd829b6bd5');
INSERT INTO "records" VALUES('with null sets',1,1767168000015,'seal','{"value":{"ballots":[{"id":"602d9ff1e8d25c88","panelist_id":"person-1","seat":1},{"id":"987cfeff670fa16a","panelist_id":"person-2","seat":2},{"id":"ca0321652f922fed","panelist_id":"person-3","seat":3},{"id":"a8bde292ef949ada","panelist_id":null,"seat":4}],"commitment":"3182b103881e5c7ddb486b73031944a9832f8d205ab74cc0f71e71116c08340a","hash":"f041f3ec2e7b62f6fdc0cf92436b7acffae5986244867013daaacb6c2b684717","plan":{"ages":[{"seconds":300,"tolerance_seconds":30}],"alpha":"0.05","asks_liking":false,"asks_nearer":true,"asks_strength":true,"beta":"0.05","brief_id":"brief","confirmed":[],"descriptor":"","descriptor_order":"fixed","descriptors":[],"expected":"","expected_order":[],"first_trial_id":"trial-7","left_out":["wrong strip","ruined strip","unblinded"],"look_every":0,"medium":"strip","method":"triangle","null_sets":1,"other_trial_ids":[],"pairs_each":0,"pd":"0.3","plain_difference":false,"primary":300,"prior":"flat","replicates":1,"resmell":false,"seats":[{"number":1,"panelist_id":"person-1"},{"number":2,"panelist_id":"person-2"},{"number":3,"panelist_id":"person-3"},{"number":4,"panelist_id":null}],"second_trial_id":"trial-8","skin_ages":[],"solo":false,"ties_allowed":true,"ties_rule":"drop","title":"Trial 7 against trial 8","warm_up":false,"zone":"UTC"},"servings":[{"age_seconds":300,"codes":["513","516","862"],"id":"771656d36b888afe","medium":"strip","place":1,"replicate":1,"seat":1,"sites":[],"spare":false,"void":false},{"age_seconds":300,"codes":["702","438","378"],"id":"bf44f1f4eb53b744","medium":"strip","place":2,"replicate":2,"seat":1,"sites":[],"spare":false,"void":false},{"age_seconds":0,"codes":["263","716","562"],"id":"f3e24fdab3b4b540","medium":"strip","place":3,"replicate":0,"seat":1,"sites":[],"spare":true,"void":false},{"age_seconds":300,"codes":["742","461","154"],"id":"aa5de7cd888fa92c","medium":"strip","place":1,"replicate":1,"seat":2,"sites":[],"spare":false,"void":false},{"age_seconds":300,"codes":["705","359","160"],"id":"439f8ceb087eaa9b","medium":"strip","place":2,"replicate":2,"seat":2,"sites":[],"spare":false,"void":false},{"age_seconds":0,"codes":["594","813","649"],"id":"4100bac0a1364ef0","medium":"strip","place":3,"replicate":0,"seat":2,"sites":[],"spare":true,"void":false},{"age_seconds":300,"codes":["395","945","260"],"id":"75a8bef6b5aecbf2","medium":"strip","place":1,"replicate":1,"seat":3,"sites":[],"spare":false,"void":false},{"age_seconds":300,"codes":["867","941","298"],"id":"c31b1ce5c94701e2","medium":"strip","place":2,"replicate":2,"seat":3,"sites":[],"spare":false,"void":false},{"age_seconds":0,"codes":["864","968","691"],"id":"9c6f16e72808f170","medium":"strip","place":3,"replicate":0,"seat":3,"sites":[],"spare":true,"void":false},{"age_seconds":300,"codes":["850","721","812"],"id":"ba9a6c7b185a8558","medium":"strip","place":1,"replicate":1,"seat":4,"sites":[],"spare":false,"void":false},{"age_seconds":300,"codes":["236","730","203"],"id":"4a89dc269c92e084","medium":"strip","place":2,"replicate":2,"seat":4,"sites":[],"spare":false,"void":false},{"age_seconds":0,"codes":["197","832","690"],"id":"f7caf11053133ecc","medium":"strip","place":3,"replicate":0,"seat":4,"sites":[],"spare":true,"void":false}]},"version":1}','706d17e2ef7244d8d2c016e69c9b50de58e2c163390542daaeec0f0af92c2e97');
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
	void BOOLEAN NOT NULL, medium TEXT DEFAULT 'strip' NOT NULL, sites TEXT DEFAULT '' NOT NULL, 
	CONSTRAINT pk_servings PRIMARY KEY (id), 
	CONSTRAINT fk_servings_session_id FOREIGN KEY(session_id) REFERENCES sessions (id), 
	CONSTRAINT uq_servings_session_id_position UNIQUE (session_id, position)
);
INSERT INTO "servings" VALUES('63c519acce8af506','session',0,1,1,300,1,'513 516 862',0,0,'strip','');
INSERT INTO "servings" VALUES('a725fa97eddf56bc','session',1,1,2,3600,1,'702 438 378',0,0,'strip','');
INSERT INTO "servings" VALUES('7313e4629e0f8a41','session',2,1,3,0,0,'263 716 562',1,0,'strip','');
INSERT INTO "servings" VALUES('15c0c2bf073a14b2','session',3,2,1,300,1,'742 461 154',0,1,'strip','');
INSERT INTO "servings" VALUES('57a12c1a87c4eb5f','session',4,2,2,3600,1,'705 359 160',0,0,'strip','');
INSERT INTO "servings" VALUES('23f2f6b044a49c88','session',5,2,1,300,1,'594 813 649',0,0,'strip','');
INSERT INTO "servings" VALUES('62214613ea4b0c73','session',6,3,1,300,1,'395 945 260',0,0,'strip','');
INSERT INTO "servings" VALUES('4b90e4234b68684f','session',7,3,2,3600,1,'867 941 298',0,0,'strip','');
INSERT INTO "servings" VALUES('c0264467f9f95b6d','session',8,3,3,0,0,'864 968 691',1,0,'strip','');
INSERT INTO "servings" VALUES('0bfaf5395ebe83d2','session',9,4,1,300,1,'850 721 812',0,0,'strip','');
INSERT INTO "servings" VALUES('9007ab4cb43f383f','session',10,4,2,3600,1,'236 730 203',0,0,'strip','');
INSERT INTO "servings" VALUES('4e483ed9d393b012','session',11,4,3,0,0,'197 832 690',1,0,'strip','');
INSERT INTO "servings" VALUES('77b680334895790e','alone',0,1,1,300,1,'513 516 862',0,0,'strip','');
INSERT INTO "servings" VALUES('9cb89ba5bf193396','alone',1,1,2,300,2,'702 438 378',0,0,'strip','');
INSERT INTO "servings" VALUES('771656d36b888afe','with null sets',0,1,1,300,1,'513 516 862',0,0,'strip','');
INSERT INTO "servings" VALUES('bf44f1f4eb53b744','with null sets',1,1,2,300,2,'702 438 378',0,0,'strip','');
INSERT INTO "servings" VALUES('f3e24fdab3b4b540','with null sets',2,1,3,0,0,'263 716 562',1,0,'strip','');
INSERT INTO "servings" VALUES('aa5de7cd888fa92c','with null sets',3,2,1,300,1,'742 461 154',0,0,'strip','');
INSERT INTO "servings" VALUES('439f8ceb087eaa9b','with null sets',4,2,2,300,2,'705 359 160',0,0,'strip','');
INSERT INTO "servings" VALUES('4100bac0a1364ef0','with null sets',5,2,3,0,0,'594 813 649',1,0,'strip','');
INSERT INTO "servings" VALUES('75a8bef6b5aecbf2','with null sets',6,3,1,300,1,'395 945 260',0,0,'strip','');
INSERT INTO "servings" VALUES('c31b1ce5c94701e2','with null sets',7,3,2,300,2,'867 941 298',0,0,'strip','');
INSERT INTO "servings" VALUES('9c6f16e72808f170','with null sets',8,3,3,0,0,'864 968 691',1,0,'strip','');
INSERT INTO "servings" VALUES('ba9a6c7b185a8558','with null sets',9,4,1,300,1,'850 721 812',0,0,'strip','');
INSERT INTO "servings" VALUES('4a89dc269c92e084','with null sets',10,4,2,300,2,'236 730 203',0,0,'strip','');
INSERT INTO "servings" VALUES('f7caf11053133ecc','with null sets',11,4,3,0,0,'197 832 690',1,0,'strip','');
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
INSERT INTO "sessions" VALUES('session','brief','trial-7','trial-8','{"value":{"ages":[{"seconds":300,"tolerance_seconds":30},{"seconds":3600,"tolerance_seconds":360}],"alpha":"0.05","asks_liking":false,"asks_nearer":true,"asks_strength":true,"beta":"0.05","brief_id":"brief","confirmed":[],"descriptor":"","descriptor_order":"fixed","descriptors":[],"expected":"","expected_order":[],"first_trial_id":"trial-7","left_out":["wrong strip","ruined strip","unblinded"],"look_every":0,"medium":"strip","method":"triangle","null_sets":0,"other_trial_ids":[],"pairs_each":0,"pd":"0.3","plain_difference":false,"primary":300,"prior":"flat","replicates":1,"resmell":false,"seats":[{"number":1,"panelist_id":"person-1"},{"number":2,"panelist_id":"person-2"},{"number":3,"panelist_id":"person-3"},{"number":4,"panelist_id":null}],"second_trial_id":"trial-8","skin_ages":[],"solo":false,"ties_allowed":true,"ties_rule":"drop","title":"Trial 7 against trial 8","warm_up":false,"zone":"UTC"},"version":1}','smelling',2000,1767168000001,'7d2924a0862710910159e8e2a9e0d1160066d51b1e9dd1fc6295a1ab83d89f2d','8b8a54ffb52d7fb17b2f65ae75d6054358070ab7ef51639ac2264a4bfe72f7df');
INSERT INTO "sessions" VALUES('alone','brief','trial-7','trial-8','{"value":{"ages":[{"seconds":300,"tolerance_seconds":30}],"alpha":"0.05","asks_liking":false,"asks_nearer":true,"asks_strength":true,"beta":"0.05","brief_id":"brief","confirmed":[],"descriptor":"","descriptor_order":"fixed","descriptors":[],"expected":"","expected_order":[],"first_trial_id":"trial-7","left_out":["wrong strip","ruined strip","unblinded"],"look_every":0,"medium":"strip","method":"triangle","null_sets":0,"other_trial_ids":[],"pairs_each":0,"pd":"0.3","plain_difference":false,"primary":300,"prior":"flat","replicates":2,"resmell":false,"seats":[{"number":1,"panelist_id":"person-1"}],"second_trial_id":"trial-8","skin_ages":[],"solo":true,"ties_allowed":true,"ties_rule":"drop","title":"Trial 7 against trial 8","warm_up":false,"zone":"UTC"},"version":1}','closed',2000,1767168000007,'26aaaec58b1ab1638dc15a3ea6554916427fb04864fb8b374b66c90dc035bf3f','f4fde8dd95a3faf1c29eeaa0d511f9bb9814e6b184a64ae6f844e60a72b89da4');
INSERT INTO "sessions" VALUES('with null sets','brief','trial-7','trial-8','{"value":{"ages":[{"seconds":300,"tolerance_seconds":30}],"alpha":"0.05","asks_liking":false,"asks_nearer":true,"asks_strength":true,"beta":"0.05","brief_id":"brief","confirmed":[],"descriptor":"","descriptor_order":"fixed","descriptors":[],"expected":"","expected_order":[],"first_trial_id":"trial-7","left_out":["wrong strip","ruined strip","unblinded"],"look_every":0,"medium":"strip","method":"triangle","null_sets":1,"other_trial_ids":[],"pairs_each":0,"pd":"0.3","plain_difference":false,"primary":300,"prior":"flat","replicates":1,"resmell":false,"seats":[{"number":1,"panelist_id":"person-1"},{"number":2,"panelist_id":"person-2"},{"number":3,"panelist_id":"person-3"},{"number":4,"panelist_id":null}],"second_trial_id":"trial-8","skin_ages":[],"solo":false,"ties_allowed":true,"ties_rule":"drop","title":"Trial 7 against trial 8","warm_up":false,"zone":"UTC"},"version":1}','sealed',2000,1767168000014,'f041f3ec2e7b62f6fdc0cf92436b7acffae5986244867013daaacb6c2b684717','3182b103881e5c7ddb486b73031944a9832f8d205ab74cc0f71e71116c08340a');
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
CREATE INDEX ix_brief_sheets_brief_id ON brief_sheets (brief_id);
CREATE INDEX ix_skin_limits_material_id ON skin_limits (material_id);
CREATE INDEX ix_skin_bars_trial_id ON skin_bars (trial_id);
CREATE INDEX ix_skin_facts_panelist_id ON skin_facts (panelist_id);
CREATE INDEX ix_patches_panelist_id ON patches (panelist_id);
CREATE INDEX ix_dips_session_id ON dips (session_id);
CREATE INDEX ix_stops_session_id ON stops (session_id);
COMMIT;
