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
INSERT INTO "answers" VALUES(1,'session','5e98d10f2745c061','adc63d8c2e8f2604','adc63d8c2e8f2604','choice','513',NULL,5000,1,3);
INSERT INTO "answers" VALUES(2,'session','5e98d10f2745c061','adc63d8c2e8f2604','adc63d8c2e8f2604','remark','','6416020c917e4d75d274971e7e2bd52d04476cf2ee30d8b2f3639460570ba747',5000,1,4);
INSERT INTO "answers" VALUES(3,'alone','8d67e69c1ffc2022','984d4936a9e2888d','984d4936a9e2888d','choice','513',NULL,5000,1,3);
INSERT INTO "answers" VALUES(4,'alone','8d67e69c1ffc2022','720563e3d674d206','720563e3d674d206','choice','702',NULL,5000,1,4);
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
INSERT INTO "ballots" VALUES('5e98d10f2745c061','session',1,'person-1',1,NULL,NULL);
INSERT INTO "ballots" VALUES('98a44daeabbb8bdd','session',2,'person-2',1,NULL,NULL);
INSERT INTO "ballots" VALUES('ea5073dff74081c1','session',3,'person-3',1,NULL,NULL);
INSERT INTO "ballots" VALUES('fbeb3fa5450fc6ba','session',4,NULL,1,NULL,NULL);
INSERT INTO "ballots" VALUES('8d67e69c1ffc2022','alone',1,'person-1',1,NULL,NULL);
INSERT INTO "ballots" VALUES('6ff95207c411baf7','with null sets',1,'person-1',1,NULL,NULL);
INSERT INTO "ballots" VALUES('44c86420036d5d54','with null sets',2,'person-2',1,NULL,NULL);
INSERT INTO "ballots" VALUES('29a9f1139e79bb9c','with null sets',3,'person-3',1,NULL,NULL);
INSERT INTO "ballots" VALUES('e04ec2f7dd05e214','with null sets',4,NULL,1,NULL,NULL);
CREATE TABLE bottles (
	id TEXT NOT NULL, 
	trial_id TEXT NOT NULL, 
	mark TEXT NOT NULL, 
	strength_percent TEXT, 
	skin_strength_percent TEXT, 
	mixed_on DATE, 
	diluted_on DATE, 
	batch TEXT NOT NULL, 
	lots TEXT NOT NULL, 
	stored TEXT NOT NULL, 
	made_at BIGINT NOT NULL, 
	CONSTRAINT pk_bottles PRIMARY KEY (id), 
	CONSTRAINT fk_bottles_trial_id FOREIGN KEY(trial_id) REFERENCES trials (id), 
	CONSTRAINT uq_bottles_trial_id_mark UNIQUE (trial_id, mark)
);
INSERT INTO "bottles" VALUES('trial-7','trial-7','1','12.50',NULL,NULL,NULL,'','','',1000);
INSERT INTO "bottles" VALUES('trial-8','trial-8','1','12.50',NULL,NULL,NULL,'','','',1000);
INSERT INTO "bottles" VALUES('warm','trial-7','2','12.50',NULL,'2026-01-02','2026-01-30','B-2','L8','warm',4000);
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
CREATE TABLE formula_accords (
	trial_id TEXT NOT NULL, 
	name TEXT NOT NULL, 
	within TEXT NOT NULL, 
	parts TEXT NOT NULL, 
	CONSTRAINT pk_formula_accords PRIMARY KEY (trial_id, name), 
	CONSTRAINT fk_formula_accords_trial_id FOREIGN KEY(trial_id) REFERENCES formulas (trial_id)
);
INSERT INTO "formula_accords" VALUES('trial-8','Heart','','7.5');
INSERT INTO "formula_accords" VALUES('trial-8','Wood','Heart','');
CREATE TABLE formula_lines (
	trial_id TEXT NOT NULL, 
	position INTEGER NOT NULL, 
	material_id TEXT NOT NULL, 
	parts TEXT NOT NULL, 
	stock_percent TEXT NOT NULL, lot TEXT DEFAULT '' NOT NULL, accord TEXT DEFAULT '' NOT NULL, 
	CONSTRAINT pk_formula_lines PRIMARY KEY (trial_id, position), 
	CONSTRAINT fk_formula_lines_material_id FOREIGN KEY(material_id) REFERENCES materials (id), 
	CONSTRAINT fk_formula_lines_trial_id FOREIGN KEY(trial_id) REFERENCES trials (id)
);
INSERT INTO "formula_lines" VALUES('trial-7',1,'m1','100','100','','');
INSERT INTO "formula_lines" VALUES('trial-8',1,'m1','2.5','100','L7','');
INSERT INTO "formula_lines" VALUES('trial-8',2,'m1','3','10','','Wood');
CREATE TABLE formulas (
	trial_id TEXT NOT NULL, 
	out_of TEXT NOT NULL, 
	at BIGINT NOT NULL, 
	CONSTRAINT pk_formulas PRIMARY KEY (trial_id), 
	CONSTRAINT fk_formulas_trial_id FOREIGN KEY(trial_id) REFERENCES trials (id)
);
INSERT INTO "formulas" VALUES('trial-7','100',1767168000020);
INSERT INTO "formulas" VALUES('trial-8','',1767168000021);
CREATE TABLE groupings (
	serving_id TEXT NOT NULL, 
	pattern TEXT NOT NULL, 
	CONSTRAINT pk_groupings PRIMARY KEY (serving_id), 
	CONSTRAINT fk_groupings_serving_id FOREIGN KEY(serving_id) REFERENCES servings (id)
);
INSERT INTO "groupings" VALUES('adc63d8c2e8f2604','YYX');
INSERT INTO "groupings" VALUES('9cf34d074d2a29bd','YXY');
INSERT INTO "groupings" VALUES('12e5a866ddb650a4','YXX');
INSERT INTO "groupings" VALUES('130835f1e0c0f26d','XYX');
INSERT INTO "groupings" VALUES('9a383ae0459ca1f0','XXY');
INSERT INTO "groupings" VALUES('1af3803f27e32194','YXY');
INSERT INTO "groupings" VALUES('cf9f963da73567d2','YYX');
INSERT INTO "groupings" VALUES('8199300f3964461b','YXY');
INSERT INTO "groupings" VALUES('bc0145441dbe08d7','XXY');
INSERT INTO "groupings" VALUES('3ed41616eaaee706','YXX');
INSERT INTO "groupings" VALUES('d3e3659dd1933290','XYX');
INSERT INTO "groupings" VALUES('a85804ab9f3c5a05','YXY');
INSERT INTO "groupings" VALUES('984d4936a9e2888d','');
INSERT INTO "groupings" VALUES('720563e3d674d206','');
INSERT INTO "groupings" VALUES('21723b8314954f9f','');
INSERT INTO "groupings" VALUES('2993bb69acca25a9','');
INSERT INTO "groupings" VALUES('fc5a3e99e83d909f','');
INSERT INTO "groupings" VALUES('8aa3346296f6f923','');
INSERT INTO "groupings" VALUES('7c7a5def6ebe94ad','XaX');
INSERT INTO "groupings" VALUES('ecd3398495b1b3c9','bXX');
INSERT INTO "groupings" VALUES('dd21b482a2c00180','Yaa');
INSERT INTO "groupings" VALUES('b4dea96055705847','aab');
INSERT INTO "groupings" VALUES('93aaa945be7b06ad','YaY');
INSERT INTO "groupings" VALUES('fbfda5ef23d4349b','baa');
INSERT INTO "groupings" VALUES('c888aab1baf57561','YbY');
INSERT INTO "groupings" VALUES('92c5d25796029635','Yaa');
INSERT INTO "groupings" VALUES('085a79f35855b96c','Xaa');
INSERT INTO "groupings" VALUES('11b95a6bc2ac2774','bbX');
INSERT INTO "groupings" VALUES('89b6918ba4d041f9','bbY');
INSERT INTO "groupings" VALUES('48a0d83dde54b86a','aba');
CREATE TABLE heads (
	session_id TEXT NOT NULL, 
	sequence INTEGER NOT NULL, 
	hash TEXT NOT NULL, 
	CONSTRAINT pk_heads PRIMARY KEY (session_id), 
	CONSTRAINT fk_heads_session_id FOREIGN KEY(session_id) REFERENCES sessions (id)
);
INSERT INTO "heads" VALUES('session',6,'7248e6b15d1794249b61472acdd85b857c8f6966707a67b0c5e70430e235ab07');
INSERT INTO "heads" VALUES('alone',6,'093c88cbcfeef8814bd0b40bfa969b76a7d79680e7cef163991eeae373e5cf4e');
INSERT INTO "heads" VALUES('with null sets',1,'54ffe3d855df98a18ac64488b72938f1b0d88f27822e699d4527ecfc65ae9210');
CREATE TABLE key_orders (
	serving_id TEXT NOT NULL, 
	trials TEXT NOT NULL, 
	CONSTRAINT pk_key_orders PRIMARY KEY (serving_id), 
	CONSTRAINT fk_key_orders_serving_id FOREIGN KEY(serving_id) REFERENCES servings (id)
);
INSERT INTO "key_orders" VALUES('adc63d8c2e8f2604','BBA');
INSERT INTO "key_orders" VALUES('9cf34d074d2a29bd','BAB');
INSERT INTO "key_orders" VALUES('12e5a866ddb650a4','BAA');
INSERT INTO "key_orders" VALUES('130835f1e0c0f26d','BAB');
INSERT INTO "key_orders" VALUES('9a383ae0459ca1f0','BBA');
INSERT INTO "key_orders" VALUES('1af3803f27e32194','ABA');
INSERT INTO "key_orders" VALUES('cf9f963da73567d2','AAB');
INSERT INTO "key_orders" VALUES('8199300f3964461b','ABA');
INSERT INTO "key_orders" VALUES('bc0145441dbe08d7','BBA');
INSERT INTO "key_orders" VALUES('3ed41616eaaee706','BAA');
INSERT INTO "key_orders" VALUES('d3e3659dd1933290','ABA');
INSERT INTO "key_orders" VALUES('a85804ab9f3c5a05','BAB');
INSERT INTO "key_orders" VALUES('984d4936a9e2888d','');
INSERT INTO "key_orders" VALUES('720563e3d674d206','');
INSERT INTO "key_orders" VALUES('21723b8314954f9f','');
INSERT INTO "key_orders" VALUES('2993bb69acca25a9','');
INSERT INTO "key_orders" VALUES('fc5a3e99e83d909f','');
INSERT INTO "key_orders" VALUES('8aa3346296f6f923','');
INSERT INTO "key_orders" VALUES('7c7a5def6ebe94ad','AaA');
INSERT INTO "key_orders" VALUES('ecd3398495b1b3c9','bAA');
INSERT INTO "key_orders" VALUES('dd21b482a2c00180','Baa');
INSERT INTO "key_orders" VALUES('b4dea96055705847','aab');
INSERT INTO "key_orders" VALUES('93aaa945be7b06ad','AaA');
INSERT INTO "key_orders" VALUES('fbfda5ef23d4349b','baa');
INSERT INTO "key_orders" VALUES('c888aab1baf57561','AbA');
INSERT INTO "key_orders" VALUES('92c5d25796029635','Aaa');
INSERT INTO "key_orders" VALUES('085a79f35855b96c','Baa');
INSERT INTO "key_orders" VALUES('11b95a6bc2ac2774','bbA');
INSERT INTO "key_orders" VALUES('89b6918ba4d041f9','bbB');
INSERT INTO "key_orders" VALUES('48a0d83dde54b86a','aba');
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
INSERT INTO "marks" VALUES('984d4936a9e2888d','ABA',1767168000016,6);
INSERT INTO "marks" VALUES('720563e3d674d206','BBA',1767168000016,6);
CREATE TABLE materials (
	id TEXT NOT NULL, 
	name TEXT NOT NULL, 
	volatility TEXT NOT NULL, 
	"natural" BOOLEAN NOT NULL, 
	phototoxic BOOLEAN NOT NULL, 
	note TEXT NOT NULL, 
	made_at BIGINT NOT NULL, folded TEXT DEFAULT '' NOT NULL, solvent BOOLEAN DEFAULT 0 NOT NULL, from_minutes INTEGER, to_minutes INTEGER, 
	CONSTRAINT pk_materials PRIMARY KEY (id), 
	CONSTRAINT uq_materials_name UNIQUE (name)
);
INSERT INTO "materials" VALUES('m1','Cold-pressed peel','top',0,1,'',5,'cold-pressedpeel',0,NULL,NULL);
CREATE TABLE mouillette_schema (
	version_num VARCHAR(32) NOT NULL, 
	CONSTRAINT mouillette_schema_pkc PRIMARY KEY (version_num)
);
INSERT INTO "mouillette_schema" VALUES('0007_bottles');
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
CREATE TABLE "patches" (
	id TEXT NOT NULL, 
	panelist_id TEXT NOT NULL, 
	trial_id TEXT NOT NULL, 
	code TEXT NOT NULL, 
	site TEXT NOT NULL, 
	strength_percent TEXT NOT NULL, 
	applied_at BIGINT NOT NULL, 
	formula TEXT DEFAULT '' NOT NULL, 
	bottle_id TEXT, 
	CONSTRAINT pk_patches PRIMARY KEY (id), 
	CONSTRAINT fk_patches_panelist_id FOREIGN KEY(panelist_id) REFERENCES panelists (id), 
	CONSTRAINT fk_patches_trial_id FOREIGN KEY(trial_id) REFERENCES trials (id), 
	CONSTRAINT fk_patches_bottle_id FOREIGN KEY(bottle_id) REFERENCES bottles (id)
);
INSERT INTO "patches" VALUES('p1','person-1','trial-7','481','left upper arm, inner side','10',1767168000019,'{"value":{"lines":[{"material_id":"m1","share_percent":"100","stock_percent":"100"}]},"version":1}','trial-7');
INSERT INTO "patches" VALUES('p2','person-1','trial-7','482','right upper arm, inner side','10',1767168000019,'{"value":{"lines":[{"material_id":"m1","share_percent":"100","stock_percent":"100"}]},"version":1}','trial-7');
INSERT INTO "patches" VALUES('p3','person-1','trial-7','483','left upper arm, outer side','10',1767168000019,'{"value":{"lines":[{"material_id":"m1","share_percent":"100","stock_percent":"100"}]},"version":1}','trial-7');
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
INSERT INTO "personal_texts" VALUES('807108db951902544cc4b9aa1b087d395b31e84e73e9378c14bb7aa36950754f','session',NULL,'e9b9f45f86686316229003fc2ffc60fb','A dry garden');
INSERT INTO "personal_texts" VALUES('2e3d2d90342df9a8bb1f3a6af30cc17273be159658a7e615240910a5d48b08b5','session',NULL,'394384bffdc237bef18d0a7c53a426e0','7');
INSERT INTO "personal_texts" VALUES('1c52e7aaa66e0856f88cc94a83b205482b8bbad8ef32bb889814fd45da78e168','session',NULL,'d49ed9587684cc31f4676dba1cdae4e4','8');
INSERT INTO "personal_texts" VALUES('6416020c917e4d75d274971e7e2bd52d04476cf2ee30d8b2f3639460570ba747','session','person-1','a37f7d21f27140cfef349a7c3e80bda0','greener than I thought');
INSERT INTO "personal_texts" VALUES('53aa79b03ed0b61b88795cdc7ed26e13762453c42e12611c6c473568141b02cd','session','person-2','65ae1cb535f70a0da4dd5cc561f1f21d','fell on the floor');
INSERT INTO "personal_texts" VALUES('09ad60ec4832a99b919cd3b8e0e5b92cf1239576460ca769f73161cc5479ec12','alone',NULL,'856a204a7fd021865790b4a94e4b9de3','A dry garden');
INSERT INTO "personal_texts" VALUES('515d5f94c83b891bfefeb87a77c1726f94c4349af136def435fdf635fbdcf265','alone',NULL,'8cb37ca0833aad09b44c95b91fc8e335','7');
INSERT INTO "personal_texts" VALUES('6533c2ded97000f5a0995e2ea39034696d78820517aa72c35ce5a5377fd8fbb5','alone',NULL,'2d24eb1f1afa8f34498305d0bc2738ab','8');
INSERT INTO "personal_texts" VALUES('a0841c39b8423eab8f87f50629ba3c1718271d70f6f9f20b06e91e7004c4a221','with null sets',NULL,'37970305ef74e7d81bccb19fbe9b0ac4','A dry garden');
INSERT INTO "personal_texts" VALUES('5b70a4b513a0c2ec6ceb5c8ccab3fbab29ae558214cf388eb3f09b76a45c53aa','with null sets',NULL,'f12df446f78a6fde8c19260ceffb8f1b','7');
INSERT INTO "personal_texts" VALUES('553c4dd0f5632d315483dfc87fa29bfb569d08897c8200411d6842cb1e6bec99','with null sets',NULL,'85f15bfdcfac44fdc72dcc556e1e3d9f','8');
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
INSERT INTO "records" VALUES('session',1,1767168000005,'seal','{"value":{"ballots":[{"id":"5e98d10f2745c061","panelist_id":"person-1","seat":1},{"id":"98a44daeabbb8bdd","panelist_id":"person-2","seat":2},{"id":"ea5073dff74081c1","panelist_id":"person-3","seat":3},{"id":"fbeb3fa5450fc6ba","panelist_id":null,"seat":4}],"commitment":"682a8155a3a4a0401cd9bb9ad855cf9c39cbd0f99a9b0ea223f2d17e72edab46","groupings":"f6a5a3ca1a38416115b2e7c66460f315a38505d3d673feac6d8bcc56ffd4c54c","hash":"7d2924a0862710910159e8e2a9e0d1160066d51b1e9dd1fc6295a1ab83d89f2d","named":{"brief":{"digest":"807108db951902544cc4b9aa1b087d395b31e84e73e9378c14bb7aa36950754f"},"trial-7":{"digest":"2e3d2d90342df9a8bb1f3a6af30cc17273be159658a7e615240910a5d48b08b5"},"trial-8":{"digest":"1c52e7aaa66e0856f88cc94a83b205482b8bbad8ef32bb889814fd45da78e168"}},"plan":{"ages":[{"seconds":300,"tolerance_seconds":30},{"seconds":3600,"tolerance_seconds":360}],"alpha":"0.05","asks_liking":false,"asks_nearer":true,"asks_strength":true,"beta":"0.05","brief_id":"brief","confirmed":[],"descriptor":"","descriptor_order":"fixed","descriptors":[],"expected":"","expected_order":[],"first_trial_id":"trial-7","left_out":["wrong strip","ruined strip","unblinded"],"look_every":0,"medium":"strip","method":"triangle","null_sets":0,"other_trial_ids":[],"pairs_each":0,"pd":"0.3","plain_difference":false,"primary":300,"prior":"flat","replicates":1,"resmell":false,"seats":[{"number":1,"panelist_id":"person-1"},{"number":2,"panelist_id":"person-2"},{"number":3,"panelist_id":"person-3"},{"number":4,"panelist_id":null}],"second_trial_id":"trial-8","skin_ages":[],"solo":false,"ties_allowed":true,"ties_rule":"drop","title":"Trial 7 against trial 8","warm_up":false,"zone":"UTC"},"servings":[{"age_seconds":300,"codes":["513","516","862"],"dips":[],"id":"adc63d8c2e8f2604","medium":"strip","place":1,"replicate":1,"seat":1,"sites":[],"spare":false,"void":false},{"age_seconds":3600,"codes":["702","438","378"],"dips":[],"id":"9cf34d074d2a29bd","medium":"strip","place":2,"replicate":1,"seat":1,"sites":[],"spare":false,"void":false},{"age_seconds":0,"codes":["263","716","562"],"dips":[],"id":"12e5a866ddb650a4","medium":"strip","place":3,"replicate":0,"seat":1,"sites":[],"spare":true,"void":false},{"age_seconds":300,"codes":["742","461","154"],"dips":[],"id":"130835f1e0c0f26d","medium":"strip","place":1,"replicate":1,"seat":2,"sites":[],"spare":false,"void":false},{"age_seconds":3600,"codes":["705","359","160"],"dips":[],"id":"9a383ae0459ca1f0","medium":"strip","place":2,"replicate":1,"seat":2,"sites":[],"spare":false,"void":false},{"age_seconds":0,"codes":["594","813","649"],"dips":[],"id":"1af3803f27e32194","medium":"strip","place":3,"replicate":0,"seat":2,"sites":[],"spare":true,"void":false},{"age_seconds":300,"codes":["395","945","260"],"dips":[],"id":"cf9f963da73567d2","medium":"strip","place":1,"replicate":1,"seat":3,"sites":[],"spare":false,"void":false},{"age_seconds":3600,"codes":["867","941","298"],"dips":[],"id":"8199300f3964461b","medium":"strip","place":2,"replicate":1,"seat":3,"sites":[],"spare":false,"void":false},{"age_seconds":0,"codes":["864","968","691"],"dips":[],"id":"bc0145441dbe08d7","medium":"strip","place":3,"replicate":0,"seat":3,"sites":[],"spare":true,"void":false},{"age_seconds":300,"codes":["850","721","812"],"dips":[],"id":"3ed41616eaaee706","medium":"strip","place":1,"replicate":1,"seat":4,"sites":[],"spare":false,"void":false},{"age_seconds":3600,"codes":["236","730","203"],"dips":[],"id":"d3e3659dd1933290","medium":"strip","place":2,"replicate":1,"seat":4,"sites":[],"spare":false,"void":false},{"age_seconds":0,"codes":["197","832","690"],"dips":[],"id":"a85804ab9f3c5a05","medium":"strip","place":3,"replicate":0,"seat":4,"sites":[],"spare":true,"void":false}]},"version":1}','301dffbfed01a8230aa22d492b52cbe780d633bb89d264a7346decbb420a6487');
INSERT INTO "records" VALUES('session',2,1767168000006,'start','{"value":{},"version":1}','1d4baa62101abf0b3c49f8daffa9c663b4c5258116c34a14705949e8e6ce43ea');
INSERT INTO "records" VALUES('session',3,1767168000007,'answer','{"value":{"at":5000,"ballot_id":"5e98d10f2745c061","question":"choice","serving_id":"adc63d8c2e8f2604","value":"513"},"version":1}','f6a8da1d744fa0f0847d435276edcad23ea94691f7c98f5c5585447397f22f63');
INSERT INTO "records" VALUES('session',4,1767168000008,'answer','{"value":{"at":5000,"ballot_id":"5e98d10f2745c061","question":"remark","remark":{"digest":"6416020c917e4d75d274971e7e2bd52d04476cf2ee30d8b2f3639460570ba747"},"serving_id":"adc63d8c2e8f2604"},"version":1}','763e540d7ad59f77f1deb8402f1cc5bee01a64b38ad50adb23ea89fa9a046ab4');
INSERT INTO "records" VALUES('session',5,1767168000009,'void serving','{"value":{"reason":{"digest":"53aa79b03ed0b61b88795cdc7ed26e13762453c42e12611c6c473568141b02cd"},"seat":2,"serving_id":"130835f1e0c0f26d","spare_id":"1af3803f27e32194"},"version":1}','eb9d8ac31525d6e5da598852c8ed6c21fbda2bd11951ea82bc7313fa235cc756');
INSERT INTO "records" VALUES('alone',1,1767168000011,'seal','{"value":{"ballots":[{"id":"8d67e69c1ffc2022","panelist_id":"person-1","seat":1}],"commitment":"444580970635d358f6a411f9e90f3869dadf2f3f6f2af9215f959ce8195b8da1","groupings":"9e8abef71c4c88a790c63e0e224f3792682195f49d631b6b79f040303e90afe2","hash":"26aaaec58b1ab1638dc15a3ea6554916427fb04864fb8b374b66c90dc035bf3f","named":{"brief":{"digest":"09ad60ec4832a99b919cd3b8e0e5b92cf1239576460ca769f73161cc5479ec12"},"trial-7":{"digest":"515d5f94c83b891bfefeb87a77c1726f94c4349af136def435fdf635fbdcf265"},"trial-8":{"digest":"6533c2ded97000f5a0995e2ea39034696d78820517aa72c35ce5a5377fd8fbb5"}},"plan":{"ages":[{"seconds":300,"tolerance_seconds":30}],"alpha":"0.05","asks_liking":false,"asks_nearer":true,"asks_strength":true,"beta":"0.05","brief_id":"brief","confirmed":[],"descriptor":"","descriptor_order":"fixed","descriptors":[],"expected":"","expected_order":[],"first_trial_id":"trial-7","left_out":["wrong strip","ruined strip","unblinded"],"look_every":0,"medium":"strip","method":"triangle","null_sets":0,"other_trial_ids":[],"pairs_each":0,"pd":"0.3","plain_difference":false,"primary":300,"prior":"flat","replicates":2,"resmell":false,"seats":[{"number":1,"panelist_id":"person-1"}],"second_trial_id":"trial-8","skin_ages":[],"solo":true,"ties_allowed":true,"ties_rule":"drop","title":"Trial 7 against trial 8","warm_up":false,"zone":"UTC"},"servings":[{"age_seconds":300,"codes":["513","516","862"],"dips":[],"id":"984d4936a9e2888d","medium":"strip","place":1,"replicate":1,"seat":1,"sites":[],"spare":false,"void":false},{"age_seconds":300,"codes":["702","438","378"],"dips":[],"id":"720563e3d674d206","medium":"strip","place":2,"replicate":2,"seat":1,"sites":[],"spare":false,"void":false},{"age_seconds":0,"codes":["263","716","562"],"dips":[],"id":"21723b8314954f9f","medium":"strip","place":3,"replicate":0,"seat":1,"sites":[],"spare":true,"void":false},{"age_seconds":0,"codes":["742","461","154"],"dips":[],"id":"2993bb69acca25a9","medium":"strip","place":4,"replicate":0,"seat":1,"sites":[],"spare":true,"void":false},{"age_seconds":0,"codes":["705","359","160"],"dips":[],"id":"fc5a3e99e83d909f","medium":"strip","place":5,"replicate":0,"seat":1,"sites":[],"spare":true,"void":false},{"age_seconds":0,"codes":["594","813","649"],"dips":[],"id":"8aa3346296f6f923","medium":"strip","place":6,"replicate":0,"seat":1,"sites":[],"spare":true,"void":false}]},"version":1}','476d48a5ecc2d7fd1cf605a7624f5c1519c35dff073862507f65513c8c431d8e');
INSERT INTO "records" VALUES('alone',2,1767168000012,'start','{"value":{},"version":1}','d67165ad1c27d1618a75fe7add90c15c70cff62edcbe7a5b2bdacf9ca25ac343');
INSERT INTO "records" VALUES('alone',3,1767168000013,'answer','{"value":{"at":5000,"ballot_id":"8d67e69c1ffc2022","question":"choice","serving_id":"984d4936a9e2888d","value":"513"},"version":1}','98dc8a9013c3fd2f1ad9ebfff406ccb929db196e8df87dc441aac906b2af40d0');
INSERT INTO "records" VALUES('alone',4,1767168000014,'answer','{"value":{"at":5000,"ballot_id":"8d67e69c1ffc2022","question":"choice","serving_id":"720563e3d674d206","value":"702"},"version":1}','49a56f54f7361369c84cb0c21ad807473ad2e257226a65f6f35542dd50a3c02c');
INSERT INTO "records" VALUES('alone',5,1767168000015,'close','{"value":{},"version":1}','02c8f22c94eac4cf817fbce764459a713f11c58f7c4eca840f136f602d0e81d9');
INSERT INTO "records" VALUES('alone',6,1767168000016,'marks','{"value":{"orders":{"720563e3d674d206":"BBA","984d4936a9e2888d":"ABA"}},"version":1}','093c88cbcfeef8814bd0b40bfa969b76a7d79680e7cef163991eeae373e5cf4e');
INSERT INTO "records" VALUES('with null sets',1,1767168000018,'seal','{"value":{"ballots":[{"id":"6ff95207c411baf7","panelist_id":"person-1","seat":1},{"id":"44c86420036d5d54","panelist_id":"person-2","seat":2},{"id":"29a9f1139e79bb9c","panelist_id":"person-3","seat":3},{"id":"e04ec2f7dd05e214","panelist_id":null,"seat":4}],"commitment":"2824eba1aabefef29765b23486f4eb8296250fe9a189e3f875f78626308d83c3","groupings":"1624107c71abb19bcd3dd1d1d06eef10fcf770e2d0713a1950c1cdc8dd66a284","hash":"0f64f1c18f712fea6836bd5d863696d8cf99c367b399aae233004d3657a7bcfe","named":{"brief":{"digest":"a0841c39b8423eab8f87f50629ba3c1718271d70f6f9f20b06e91e7004c4a221"},"trial-7":{"digest":"5b70a4b513a0c2ec6ceb5c8ccab3fbab29ae558214cf388eb3f09b76a45c53aa"},"trial-8":{"digest":"553c4dd0f5632d315483dfc87fa29bfb569d08897c8200411d6842cb1e6bec99"}},"plan":{"ages":[{"seconds":300,"tolerance_seconds":30}],"alpha":"0.05","asks_liking":false,"asks_nearer":true,"asks_strength":true,"beta":"0.05","brief_id":"brief","confirmed":[],"descriptor":"","descriptor_order":"fixed","descriptors":[],"draw":"independent","expected":"","expected_order":[],"first_trial_id":"trial-7","left_out":["wrong strip","ruined strip","unblinded"],"look_every":0,"medium":"strip","method":"triangle","null_sets":1,"other_trial_ids":[],"pairs_each":0,"pd":"0.3","plain_difference":false,"primary":300,"prior":"flat","replicates":1,"resmell":false,"seats":[{"number":1,"panelist_id":"person-1"},{"number":2,"panelist_id":"person-2"},{"number":3,"panelist_id":"person-3"},{"number":4,"panelist_id":null}],"second_trial_id":"trial-8","skin_ages":[],"solo":false,"ties_allowed":true,"ties_rule":"drop","title":"Trial 7 against trial 8","warm_up":false,"zone":"UTC"},"servings":[{"age_seconds":300,"codes":["513","516","862"],"dips":[2,0,1],"id":"7c7a5def6ebe94ad","medium":"strip","place":1,"replicate":1,"seat":1,"sites":[],"spare":false,"void":false},{"age_seconds":300,"codes":["702","438","378"],"dips":[2,1,0],"id":"ecd3398495b1b3c9","medium":"strip","place":2,"replicate":2,"seat":1,"sites":[],"spare":false,"void":false},{"age_seconds":0,"codes":["263","716","562"],"dips":[1,2,0],"id":"dd21b482a2c00180","medium":"strip","place":3,"replicate":0,"seat":1,"sites":[],"spare":true,"void":false},{"age_seconds":300,"codes":["742","461","154"],"dips":[1,2,0],"id":"b4dea96055705847","medium":"strip","place":1,"replicate":1,"seat":2,"sites":[],"spare":false,"void":false},{"age_seconds":300,"codes":["705","359","160"],"dips":[2,0,1],"id":"93aaa945be7b06ad","medium":"strip","place":2,"replicate":2,"seat":2,"sites":[],"spare":false,"void":false},{"age_seconds":0,"codes":["594","813","649"],"dips":[2,1,0],"id":"fbfda5ef23d4349b","medium":"strip","place":3,"replicate":0,"seat":2,"sites":[],"spare":true,"void":false},{"age_seconds":300,"codes":["395","945","260"],"dips":[2,1,0],"id":"c888aab1baf57561","medium":"strip","place":1,"replicate":1,"seat":3,"sites":[],"spare":false,"void":false},{"age_seconds":300,"codes":["867","941","298"],"dips":[2,0,1],"id":"92c5d25796029635","medium":"strip","place":2,"replicate":2,"seat":3,"sites":[],"spare":false,"void":false},{"age_seconds":0,"codes":["864","968","691"],"dips":[0,1,2],"id":"085a79f35855b96c","medium":"strip","place":3,"replicate":0,"seat":3,"sites":[],"spare":true,"void":false},{"age_seconds":300,"codes":["850","721","812"],"dips":[1,0,2],"id":"11b95a6bc2ac2774","medium":"strip","place":1,"replicate":1,"seat":4,"sites":[],"spare":false,"void":false},{"age_seconds":300,"codes":["236","730","203"],"dips":[1,0,2],"id":"89b6918ba4d041f9","medium":"strip","place":2,"replicate":2,"seat":4,"sites":[],"spare":false,"void":false},{"age_seconds":0,"codes":["197","832","690"],"dips":[1,2,0],"id":"48a0d83dde54b86a","medium":"strip","place":3,"replicate":0,"seat":4,"sites":[],"spare":true,"void":false}]},"version":1}','54ffe3d855df98a18ac64488b72938f1b0d88f27822e699d4527ecfc65ae9210');
INSERT INTO "records" VALUES('session',6,1767168000022,'stop','{"value":{"ballot_id":"98a44daeabbb8bdd","kind":"unwell"},"version":1}','7248e6b15d1794249b61472acdd85b857c8f6966707a67b0c5e70430e235ab07');
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
INSERT INTO "servings" VALUES('adc63d8c2e8f2604','session',0,1,1,300,1,'513 516 862',0,0,'strip','','');
INSERT INTO "servings" VALUES('9cf34d074d2a29bd','session',1,1,2,3600,1,'702 438 378',0,0,'strip','','');
INSERT INTO "servings" VALUES('12e5a866ddb650a4','session',2,1,3,0,0,'263 716 562',1,0,'strip','','');
INSERT INTO "servings" VALUES('130835f1e0c0f26d','session',3,2,1,300,1,'742 461 154',0,1,'strip','','');
INSERT INTO "servings" VALUES('9a383ae0459ca1f0','session',4,2,2,3600,1,'705 359 160',0,0,'strip','','');
INSERT INTO "servings" VALUES('1af3803f27e32194','session',5,2,1,300,1,'594 813 649',0,0,'strip','','');
INSERT INTO "servings" VALUES('cf9f963da73567d2','session',6,3,1,300,1,'395 945 260',0,0,'strip','','');
INSERT INTO "servings" VALUES('8199300f3964461b','session',7,3,2,3600,1,'867 941 298',0,0,'strip','','');
INSERT INTO "servings" VALUES('bc0145441dbe08d7','session',8,3,3,0,0,'864 968 691',1,0,'strip','','');
INSERT INTO "servings" VALUES('3ed41616eaaee706','session',9,4,1,300,1,'850 721 812',0,0,'strip','','');
INSERT INTO "servings" VALUES('d3e3659dd1933290','session',10,4,2,3600,1,'236 730 203',0,0,'strip','','');
INSERT INTO "servings" VALUES('a85804ab9f3c5a05','session',11,4,3,0,0,'197 832 690',1,0,'strip','','');
INSERT INTO "servings" VALUES('984d4936a9e2888d','alone',0,1,1,300,1,'513 516 862',0,0,'strip','','');
INSERT INTO "servings" VALUES('720563e3d674d206','alone',1,1,2,300,2,'702 438 378',0,0,'strip','','');
INSERT INTO "servings" VALUES('21723b8314954f9f','alone',2,1,3,0,0,'263 716 562',1,0,'strip','','');
INSERT INTO "servings" VALUES('2993bb69acca25a9','alone',3,1,4,0,0,'742 461 154',1,0,'strip','','');
INSERT INTO "servings" VALUES('fc5a3e99e83d909f','alone',4,1,5,0,0,'705 359 160',1,0,'strip','','');
INSERT INTO "servings" VALUES('8aa3346296f6f923','alone',5,1,6,0,0,'594 813 649',1,0,'strip','','');
INSERT INTO "servings" VALUES('7c7a5def6ebe94ad','with null sets',0,1,1,300,1,'513 516 862',0,0,'strip','','2 0 1');
INSERT INTO "servings" VALUES('ecd3398495b1b3c9','with null sets',1,1,2,300,2,'702 438 378',0,0,'strip','','2 1 0');
INSERT INTO "servings" VALUES('dd21b482a2c00180','with null sets',2,1,3,0,0,'263 716 562',1,0,'strip','','1 2 0');
INSERT INTO "servings" VALUES('b4dea96055705847','with null sets',3,2,1,300,1,'742 461 154',0,0,'strip','','1 2 0');
INSERT INTO "servings" VALUES('93aaa945be7b06ad','with null sets',4,2,2,300,2,'705 359 160',0,0,'strip','','2 0 1');
INSERT INTO "servings" VALUES('fbfda5ef23d4349b','with null sets',5,2,3,0,0,'594 813 649',1,0,'strip','','2 1 0');
INSERT INTO "servings" VALUES('c888aab1baf57561','with null sets',6,3,1,300,1,'395 945 260',0,0,'strip','','2 1 0');
INSERT INTO "servings" VALUES('92c5d25796029635','with null sets',7,3,2,300,2,'867 941 298',0,0,'strip','','2 0 1');
INSERT INTO "servings" VALUES('085a79f35855b96c','with null sets',8,3,3,0,0,'864 968 691',1,0,'strip','','0 1 2');
INSERT INTO "servings" VALUES('11b95a6bc2ac2774','with null sets',9,4,1,300,1,'850 721 812',0,0,'strip','','1 0 2');
INSERT INTO "servings" VALUES('89b6918ba4d041f9','with null sets',10,4,2,300,2,'236 730 203',0,0,'strip','','1 0 2');
INSERT INTO "servings" VALUES('48a0d83dde54b86a','with null sets',11,4,3,0,0,'197 832 690',1,0,'strip','','1 2 0');
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
INSERT INTO "sessions" VALUES('session','brief','trial-7','trial-8','{"value":{"ages":[{"seconds":300,"tolerance_seconds":30},{"seconds":3600,"tolerance_seconds":360}],"alpha":"0.05","asks_liking":false,"asks_nearer":true,"asks_strength":true,"beta":"0.05","brief_id":"brief","confirmed":[],"descriptor":"","descriptor_order":"fixed","descriptors":[],"expected":"","expected_order":[],"first_trial_id":"trial-7","left_out":["wrong strip","ruined strip","unblinded"],"look_every":0,"medium":"strip","method":"triangle","null_sets":0,"other_trial_ids":[],"pairs_each":0,"pd":"0.3","plain_difference":false,"primary":300,"prior":"flat","replicates":1,"resmell":false,"seats":[{"number":1,"panelist_id":"person-1"},{"number":2,"panelist_id":"person-2"},{"number":3,"panelist_id":"person-3"},{"number":4,"panelist_id":null}],"second_trial_id":"trial-8","skin_ages":[],"solo":false,"ties_allowed":true,"ties_rule":"drop","title":"Trial 7 against trial 8","warm_up":false,"zone":"UTC"},"version":1}','smelling',2000,1767168000004,'7d2924a0862710910159e8e2a9e0d1160066d51b1e9dd1fc6295a1ab83d89f2d','682a8155a3a4a0401cd9bb9ad855cf9c39cbd0f99a9b0ea223f2d17e72edab46');
INSERT INTO "sessions" VALUES('alone','brief','trial-7','trial-8','{"value":{"ages":[{"seconds":300,"tolerance_seconds":30}],"alpha":"0.05","asks_liking":false,"asks_nearer":true,"asks_strength":true,"beta":"0.05","brief_id":"brief","confirmed":[],"descriptor":"","descriptor_order":"fixed","descriptors":[],"expected":"","expected_order":[],"first_trial_id":"trial-7","left_out":["wrong strip","ruined strip","unblinded"],"look_every":0,"medium":"strip","method":"triangle","null_sets":0,"other_trial_ids":[],"pairs_each":0,"pd":"0.3","plain_difference":false,"primary":300,"prior":"flat","replicates":2,"resmell":false,"seats":[{"number":1,"panelist_id":"person-1"}],"second_trial_id":"trial-8","skin_ages":[],"solo":true,"ties_allowed":true,"ties_rule":"drop","title":"Trial 7 against trial 8","warm_up":false,"zone":"UTC"},"version":1}','closed',2000,1767168000010,'26aaaec58b1ab1638dc15a3ea6554916427fb04864fb8b374b66c90dc035bf3f','444580970635d358f6a411f9e90f3869dadf2f3f6f2af9215f959ce8195b8da1');
INSERT INTO "sessions" VALUES('with null sets','brief','trial-7','trial-8','{"value":{"ages":[{"seconds":300,"tolerance_seconds":30}],"alpha":"0.05","asks_liking":false,"asks_nearer":true,"asks_strength":true,"beta":"0.05","brief_id":"brief","confirmed":[],"descriptor":"","descriptor_order":"fixed","descriptors":[],"draw":"independent","expected":"","expected_order":[],"first_trial_id":"trial-7","left_out":["wrong strip","ruined strip","unblinded"],"look_every":0,"medium":"strip","method":"triangle","null_sets":1,"other_trial_ids":[],"pairs_each":0,"pd":"0.3","plain_difference":false,"primary":300,"prior":"flat","replicates":1,"resmell":false,"seats":[{"number":1,"panelist_id":"person-1"},{"number":2,"panelist_id":"person-2"},{"number":3,"panelist_id":"person-3"},{"number":4,"panelist_id":null}],"second_trial_id":"trial-8","skin_ages":[],"solo":false,"ties_allowed":true,"ties_rule":"drop","title":"Trial 7 against trial 8","warm_up":false,"zone":"UTC"},"version":1}','sealed',2000,1767168000017,'0f64f1c18f712fea6836bd5d863696d8cf99c367b399aae233004d3657a7bcfe','2824eba1aabefef29765b23486f4eb8296250fe9a189e3f875f78626308d83c3');
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
INSERT INTO "skin_limits" VALUES(1,'m1','0.4','invented sheet 4','2020-02-01','left on skin',1767168000019);
CREATE TABLE skin_log (
	id INTEGER NOT NULL, 
	kind TEXT NOT NULL, 
	panelist_id TEXT, 
	body TEXT NOT NULL, 
	at BIGINT NOT NULL, 
	CONSTRAINT pk_skin_log PRIMARY KEY (id), 
	CONSTRAINT fk_skin_log_panelist_id FOREIGN KEY(panelist_id) REFERENCES panelists (id)
);
INSERT INTO "skin_log" VALUES(1,'limit confirmed',NULL,'{"value":{"limit":1,"material":"m1","who":"Ida Fern, chemist"},"version":1}',1767168000019);
INSERT INTO "skin_log" VALUES(2,'patch put on','person-1','{"value":{"patch":"p1"},"version":1}',1767168000019);
INSERT INTO "skin_log" VALUES(3,'patch put on','person-1','{"value":{"patch":"p2"},"version":1}',1767168000019);
INSERT INTO "skin_log" VALUES(4,'patch put on','person-1','{"value":{"patch":"p3"},"version":1}',1767168000019);
INSERT INTO "skin_log" VALUES(5,'reading','person-1','{"value":{"note":"","patch":"p1","result":"clear"},"version":1}',1767348000019);
INSERT INTO "skin_log" VALUES(6,'reading','person-1','{"value":{"note":"","patch":"p1","result":"clear"},"version":1}',1767438000019);
INSERT INTO "skin_log" VALUES(7,'asked what changed','person-1','{"value":{"changed":["batch"],"patch":"p1"},"version":1}',1770408000019);
INSERT INTO "skin_log" VALUES(8,'reading','person-1','{"value":{"note":"red","patch":"p2","result":"reaction"},"version":1}',1767276000019);
INSERT INTO "skin_log" VALUES(9,'patch cancelled','person-1','{"value":{"patch":"p3","reason":"washed off"},"version":1}',1767276000019);
INSERT INTO "skin_log" VALUES(10,'reaction','person-1','{"value":{"materials":["m1"],"note":"","patch":"p2","session":"","trials":["trial-7"]},"version":1}',1767276000019);
INSERT INTO "skin_log" VALUES(11,'may be applied again',NULL,'{"value":{"materials":["m1"],"reason":"it was the soap"},"version":1}',1767312000019);
INSERT INTO "skin_log" VALUES(12,'advice','person-1','{"value":{"given_on":"2026-01-02","materials":["m1"],"note":"","who":"Dr Ida Fern"},"version":1}',1767312000019);
INSERT INTO "skin_log" VALUES(13,'stop explained','person-2','{"value":{"reason":"too warm a room"},"version":1}',1767312000019);
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
INSERT INTO "stops" VALUES(1,'session','98a44daeabbb8bdd','unwell',1767168000022,6);
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
	made_at BIGINT NOT NULL, 
	CONSTRAINT pk_trials PRIMARY KEY (id), 
	CONSTRAINT fk_trials_brief_id FOREIGN KEY(brief_id) REFERENCES briefs (id), 
	CONSTRAINT fk_trials_parent_id FOREIGN KEY(parent_id) REFERENCES trials (id), 
	CONSTRAINT uq_trials_brief_id_label UNIQUE (brief_id, label)
);
INSERT INTO "trials" VALUES('trial-7','brief','7',NULL,'',1000);
INSERT INTO "trials" VALUES('trial-8','brief','8','trial-7','vetiver 2 to 3',1000);
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
CREATE INDEX ix_dips_session_id ON dips (session_id);
CREATE INDEX ix_stops_session_id ON stops (session_id);
CREATE INDEX ix_skin_log_panelist_id ON skin_log (panelist_id);
CREATE UNIQUE INDEX ix_materials_folded ON materials (folded);
CREATE INDEX ix_patches_panelist_id ON patches (panelist_id);
COMMIT;
