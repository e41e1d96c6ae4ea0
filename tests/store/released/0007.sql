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
INSERT INTO "answers" VALUES(1,'session','eda7692b0b5d0c69','a5379935ec500ada','a5379935ec500ada','choice','513',NULL,5000,1,3);
INSERT INTO "answers" VALUES(2,'session','eda7692b0b5d0c69','a5379935ec500ada','a5379935ec500ada','remark','','a50daef2ad7a85b7b8c6468cbef348fcb4a23a0c682bec2414015e12edaa54db',5000,1,4);
INSERT INTO "answers" VALUES(3,'alone','705ee42cda12f390','dce40f5fb1d34c38','dce40f5fb1d34c38','choice','513',NULL,5000,1,3);
INSERT INTO "answers" VALUES(4,'alone','705ee42cda12f390','2a962096b0a15360','2a962096b0a15360','choice','702',NULL,5000,1,4);
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
INSERT INTO "ballots" VALUES('eda7692b0b5d0c69','session',1,'person-1',1,NULL,NULL);
INSERT INTO "ballots" VALUES('8f11cd614f9f4048','session',2,'person-2',1,NULL,NULL);
INSERT INTO "ballots" VALUES('40d78a7e446855cb','session',3,'person-3',1,NULL,NULL);
INSERT INTO "ballots" VALUES('40e49f3d3dc5278a','session',4,NULL,1,NULL,NULL);
INSERT INTO "ballots" VALUES('705ee42cda12f390','alone',1,'person-1',1,NULL,NULL);
INSERT INTO "ballots" VALUES('54611c7fb8ff771d','with null sets',1,'person-1',1,NULL,NULL);
INSERT INTO "ballots" VALUES('9f5e97be73c385db','with null sets',2,'person-2',1,NULL,NULL);
INSERT INTO "ballots" VALUES('70f4c2e59740972d','with null sets',3,'person-3',1,NULL,NULL);
INSERT INTO "ballots" VALUES('bf1adba7a7374e0b','with null sets',4,NULL,1,NULL,NULL);
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
INSERT INTO "groupings" VALUES('a5379935ec500ada','YYX');
INSERT INTO "groupings" VALUES('0ff4f4ddb6bff62e','YXY');
INSERT INTO "groupings" VALUES('90367be7deb42a57','YXX');
INSERT INTO "groupings" VALUES('22813788e3efb139','XYX');
INSERT INTO "groupings" VALUES('e6d7853502248318','XXY');
INSERT INTO "groupings" VALUES('e35486cf1e81f5ee','YXY');
INSERT INTO "groupings" VALUES('a4ae3438dd5e5316','YYX');
INSERT INTO "groupings" VALUES('e90ce668d1e3832a','YXY');
INSERT INTO "groupings" VALUES('a10354e7c9c5c0ea','XXY');
INSERT INTO "groupings" VALUES('d02c66b4156332a3','YXX');
INSERT INTO "groupings" VALUES('3b7730526acfba82','XYX');
INSERT INTO "groupings" VALUES('b44a09df2ca5d31b','YXY');
INSERT INTO "groupings" VALUES('dce40f5fb1d34c38','');
INSERT INTO "groupings" VALUES('2a962096b0a15360','');
INSERT INTO "groupings" VALUES('bb5804a9bb1c2f75','');
INSERT INTO "groupings" VALUES('a826ef9e038ce683','');
INSERT INTO "groupings" VALUES('911fcef0f039c8c7','');
INSERT INTO "groupings" VALUES('9d73864c431c042c','');
INSERT INTO "groupings" VALUES('26a9f461265422fb','XaX');
INSERT INTO "groupings" VALUES('dd8c658b0694f861','bXX');
INSERT INTO "groupings" VALUES('2ca47f6d7becb610','Yaa');
INSERT INTO "groupings" VALUES('bfeae6c384e012f4','aab');
INSERT INTO "groupings" VALUES('2f9e7338ae3d5cd2','YaY');
INSERT INTO "groupings" VALUES('b457e7d6bdae799a','baa');
INSERT INTO "groupings" VALUES('dea7f516dee3ce23','YbY');
INSERT INTO "groupings" VALUES('5bcfdc45e2957e74','Yaa');
INSERT INTO "groupings" VALUES('81ace80e6ce4ae61','Xaa');
INSERT INTO "groupings" VALUES('8e82b9575102a3f2','bbX');
INSERT INTO "groupings" VALUES('efa2909b564354d7','bbY');
INSERT INTO "groupings" VALUES('378acbe19a9f1f79','aba');
CREATE TABLE heads (
	session_id TEXT NOT NULL, 
	sequence INTEGER NOT NULL, 
	hash TEXT NOT NULL, 
	CONSTRAINT pk_heads PRIMARY KEY (session_id), 
	CONSTRAINT fk_heads_session_id FOREIGN KEY(session_id) REFERENCES sessions (id)
);
INSERT INTO "heads" VALUES('session',6,'76e05ba14daf65f0bf3c35f211f79f90c14f7335b2f7ebcab16e9dc697a172af');
INSERT INTO "heads" VALUES('alone',6,'b5bcf2fab0abfa3c8b7cdfc040b427350e36fbb4c14fa313fd205cf86084c0b3');
INSERT INTO "heads" VALUES('with null sets',1,'0b6fef99496cab566156a1ad3592c356558006eaa03019e5a72cefba958102b6');
CREATE TABLE key_orders (
	serving_id TEXT NOT NULL, 
	trials TEXT NOT NULL, 
	CONSTRAINT pk_key_orders PRIMARY KEY (serving_id), 
	CONSTRAINT fk_key_orders_serving_id FOREIGN KEY(serving_id) REFERENCES servings (id)
);
INSERT INTO "key_orders" VALUES('a5379935ec500ada','BBA');
INSERT INTO "key_orders" VALUES('0ff4f4ddb6bff62e','BAB');
INSERT INTO "key_orders" VALUES('90367be7deb42a57','BAA');
INSERT INTO "key_orders" VALUES('22813788e3efb139','BAB');
INSERT INTO "key_orders" VALUES('e6d7853502248318','BBA');
INSERT INTO "key_orders" VALUES('e35486cf1e81f5ee','ABA');
INSERT INTO "key_orders" VALUES('a4ae3438dd5e5316','AAB');
INSERT INTO "key_orders" VALUES('e90ce668d1e3832a','ABA');
INSERT INTO "key_orders" VALUES('a10354e7c9c5c0ea','BBA');
INSERT INTO "key_orders" VALUES('d02c66b4156332a3','BAA');
INSERT INTO "key_orders" VALUES('3b7730526acfba82','ABA');
INSERT INTO "key_orders" VALUES('b44a09df2ca5d31b','BAB');
INSERT INTO "key_orders" VALUES('dce40f5fb1d34c38','');
INSERT INTO "key_orders" VALUES('2a962096b0a15360','');
INSERT INTO "key_orders" VALUES('bb5804a9bb1c2f75','');
INSERT INTO "key_orders" VALUES('a826ef9e038ce683','');
INSERT INTO "key_orders" VALUES('911fcef0f039c8c7','');
INSERT INTO "key_orders" VALUES('9d73864c431c042c','');
INSERT INTO "key_orders" VALUES('26a9f461265422fb','AaA');
INSERT INTO "key_orders" VALUES('dd8c658b0694f861','bAA');
INSERT INTO "key_orders" VALUES('2ca47f6d7becb610','Baa');
INSERT INTO "key_orders" VALUES('bfeae6c384e012f4','aab');
INSERT INTO "key_orders" VALUES('2f9e7338ae3d5cd2','AaA');
INSERT INTO "key_orders" VALUES('b457e7d6bdae799a','baa');
INSERT INTO "key_orders" VALUES('dea7f516dee3ce23','AbA');
INSERT INTO "key_orders" VALUES('5bcfdc45e2957e74','Aaa');
INSERT INTO "key_orders" VALUES('81ace80e6ce4ae61','Baa');
INSERT INTO "key_orders" VALUES('8e82b9575102a3f2','bbA');
INSERT INTO "key_orders" VALUES('efa2909b564354d7','bbB');
INSERT INTO "key_orders" VALUES('378acbe19a9f1f79','aba');
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
INSERT INTO "marks" VALUES('dce40f5fb1d34c38','ABA',1767168000016,6);
INSERT INTO "marks" VALUES('2a962096b0a15360','BBA',1767168000016,6);
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
	formula TEXT DEFAULT ('') NOT NULL, 
	bottle_id TEXT, 
	CONSTRAINT pk_patches PRIMARY KEY (id), 
	CONSTRAINT fk_patches_trial_id FOREIGN KEY(trial_id) REFERENCES trials (id), 
	CONSTRAINT fk_patches_panelist_id FOREIGN KEY(panelist_id) REFERENCES panelists (id), 
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
INSERT INTO "personal_texts" VALUES('af01873d89a4d64ef284ce407c5596e7c91263e261226395e4c8aeeee4083ea2','session',NULL,'742b563b595210d485d73138e4a6483c','A dry garden');
INSERT INTO "personal_texts" VALUES('1016a944847ad74f56496122996303dfcba5d249df3488d069e40f989f47e599','session',NULL,'fbac83497daed2e6a1d0be9015434118','7');
INSERT INTO "personal_texts" VALUES('1987f76f7286e5211049b3e71045f87cb18c44525af5981b7afef6df8b33a0a6','session',NULL,'ca9c5531d1b0c9928301640fccc34f6e','8');
INSERT INTO "personal_texts" VALUES('a50daef2ad7a85b7b8c6468cbef348fcb4a23a0c682bec2414015e12edaa54db','session','person-1','633deb56c3a945ebb60ca8d41c4ed60a','greener than I thought');
INSERT INTO "personal_texts" VALUES('94aa3c6110d3ff5baab6724bdb3c4926ec3cbe8964f38f94ef17bb62a72cc4ad','session','person-2','d870203728858adce79700377ca7bdbd','fell on the floor');
INSERT INTO "personal_texts" VALUES('08ee1a8a6541774e42115210f7dcbe8c11f78e093b7ebc88c9c259c18f95674a','alone',NULL,'b1a387785b929e3f5f8e9c57d06ea1f4','A dry garden');
INSERT INTO "personal_texts" VALUES('b35f34803f28c3a918c51f6ecc0ecf0732e72a8db08429b4b0e80537978e95a6','alone',NULL,'e395440c595efbe8e8ec40d6f1942b02','7');
INSERT INTO "personal_texts" VALUES('b64d72a59ee4b14324dcf04f2ba040a47d1c48a0fd4bbb61df610ab81c0ed465','alone',NULL,'8292422ef6e3629ee3fc2d855fd4e590','8');
INSERT INTO "personal_texts" VALUES('ca73971e66712304456c23f3ac7bb27a00fa43966b7d4284e8f79947268f4582','with null sets',NULL,'b7e02873ab1bc3ed3ddc997760c7a874','A dry garden');
INSERT INTO "personal_texts" VALUES('92869d992ad5eec17403fd88b27bfd6532570992b2c6d64b437c47047b980150','with null sets',NULL,'de670f50f84b1b502084554ca3dae34c','7');
INSERT INTO "personal_texts" VALUES('5cb5a7ced3d50d496a950eee1d870f2268d13b33216e5873882458e3c016b07a','with null sets',NULL,'d3f56bca8ec9cdca248c5185ea3c4ffa','8');
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
INSERT INTO "records" VALUES('session',1,1767168000005,'seal','{"value":{"ballots":[{"id":"eda7692b0b5d0c69","panelist_id":"person-1","seat":1},{"id":"8f11cd614f9f4048","panelist_id":"person-2","seat":2},{"id":"40d78a7e446855cb","panelist_id":"person-3","seat":3},{"id":"40e49f3d3dc5278a","panelist_id":null,"seat":4}],"commitment":"e60236e8134cb0b50b61bd4feefab6e7c7dd9413c602a95feec7b68731692c77","groupings":"7ffaf6493e9f8c4539b287ad7c76d311ad23258b595d03086939c600cbb12844","hash":"7d2924a0862710910159e8e2a9e0d1160066d51b1e9dd1fc6295a1ab83d89f2d","named":{"brief":{"digest":"af01873d89a4d64ef284ce407c5596e7c91263e261226395e4c8aeeee4083ea2"},"trial-7":{"digest":"1016a944847ad74f56496122996303dfcba5d249df3488d069e40f989f47e599"},"trial-8":{"digest":"1987f76f7286e5211049b3e71045f87cb18c44525af5981b7afef6df8b33a0a6"}},"plan":{"ages":[{"seconds":300,"tolerance_seconds":30},{"seconds":3600,"tolerance_seconds":360}],"alpha":"0.05","asks_liking":false,"asks_nearer":true,"asks_strength":true,"beta":"0.05","brief_id":"brief","confirmed":[],"descriptor":"","descriptor_order":"fixed","descriptors":[],"expected":"","expected_order":[],"first_trial_id":"trial-7","left_out":["wrong strip","ruined strip","unblinded"],"look_every":0,"medium":"strip","method":"triangle","null_sets":0,"other_trial_ids":[],"pairs_each":0,"pd":"0.3","plain_difference":false,"primary":300,"prior":"flat","replicates":1,"resmell":false,"seats":[{"number":1,"panelist_id":"person-1"},{"number":2,"panelist_id":"person-2"},{"number":3,"panelist_id":"person-3"},{"number":4,"panelist_id":null}],"second_trial_id":"trial-8","skin_ages":[],"solo":false,"ties_allowed":true,"ties_rule":"drop","title":"Trial 7 against trial 8","warm_up":false,"zone":"UTC"},"servings":[{"age_seconds":300,"codes":["513","516","862"],"dips":[],"id":"a5379935ec500ada","medium":"strip","place":1,"replicate":1,"seat":1,"sites":[],"spare":false,"void":false},{"age_seconds":3600,"codes":["702","438","378"],"dips":[],"id":"0ff4f4ddb6bff62e","medium":"strip","place":2,"replicate":1,"seat":1,"sites":[],"spare":false,"void":false},{"age_seconds":0,"codes":["263","716","562"],"dips":[],"id":"90367be7deb42a57","medium":"strip","place":3,"replicate":0,"seat":1,"sites":[],"spare":true,"void":false},{"age_seconds":300,"codes":["742","461","154"],"dips":[],"id":"22813788e3efb139","medium":"strip","place":1,"replicate":1,"seat":2,"sites":[],"spare":false,"void":false},{"age_seconds":3600,"codes":["705","359","160"],"dips":[],"id":"e6d7853502248318","medium":"strip","place":2,"replicate":1,"seat":2,"sites":[],"spare":false,"void":false},{"age_seconds":0,"codes":["594","813","649"],"dips":[],"id":"e35486cf1e81f5ee","medium":"strip","place":3,"replicate":0,"seat":2,"sites":[],"spare":true,"void":false},{"age_seconds":300,"codes":["395","945","260"],"dips":[],"id":"a4ae3438dd5e5316","medium":"strip","place":1,"replicate":1,"seat":3,"sites":[],"spare":false,"void":false},{"age_seconds":3600,"codes":["867","941","298"],"dips":[],"id":"e90ce668d1e3832a","medium":"strip","place":2,"replicate":1,"seat":3,"sites":[],"spare":false,"void":false},{"age_seconds":0,"codes":["864","968","691"],"dips":[],"id":"a10354e7c9c5c0ea","medium":"strip","place":3,"replicate":0,"seat":3,"sites":[],"spare":true,"void":false},{"age_seconds":300,"codes":["850","721","812"],"dips":[],"id":"d02c66b4156332a3","medium":"strip","place":1,"replicate":1,"seat":4,"sites":[],"spare":false,"void":false},{"age_seconds":3600,"codes":["236","730","203"],"dips":[],"id":"3b7730526acfba82","medium":"strip","place":2,"replicate":1,"seat":4,"sites":[],"spare":false,"void":false},{"age_seconds":0,"codes":["197","832","690"],"dips":[],"id":"b44a09df2ca5d31b","medium":"strip","place":3,"replicate":0,"seat":4,"sites":[],"spare":true,"void":false}]},"version":1}','c152f225b4bb4babdb8fc8fd6cb1def75c748193b90f590f5c92c348d0e507c8');
INSERT INTO "records" VALUES('session',2,1767168000006,'start','{"value":{},"version":1}','e898eeb295b8b753cfbbb767d5e4a660ce190abf985631ce93036459c85d12b3');
INSERT INTO "records" VALUES('session',3,1767168000007,'answer','{"value":{"at":5000,"ballot_id":"eda7692b0b5d0c69","question":"choice","serving_id":"a5379935ec500ada","value":"513"},"version":1}','cab4adc0b254cc04ceeba0ccad487e45a9fa4a2f49b147619940480f50c5607e');
INSERT INTO "records" VALUES('session',4,1767168000008,'answer','{"value":{"at":5000,"ballot_id":"eda7692b0b5d0c69","question":"remark","remark":{"digest":"a50daef2ad7a85b7b8c6468cbef348fcb4a23a0c682bec2414015e12edaa54db"},"serving_id":"a5379935ec500ada"},"version":1}','bfcaefd5d66fcacdf2c533447aaaa89afdea216617d662fdcc3f89160ad72e84');
INSERT INTO "records" VALUES('session',5,1767168000009,'void serving','{"value":{"reason":{"digest":"94aa3c6110d3ff5baab6724bdb3c4926ec3cbe8964f38f94ef17bb62a72cc4ad"},"seat":2,"serving_id":"22813788e3efb139","spare_id":"e35486cf1e81f5ee"},"version":1}','f5be9a07005763936cac08a888786748ec1c9a77388ebb2818b13f09c40d7be7');
INSERT INTO "records" VALUES('alone',1,1767168000011,'seal','{"value":{"ballots":[{"id":"705ee42cda12f390","panelist_id":"person-1","seat":1}],"commitment":"adfa916bea2417379a58c982480286a3e1aed627fee71993cd08cb58dff32fea","groupings":"b742c7754fd2c09ca1a8e99c443c9ccb97da057bcd7512a5de0d203013c94509","hash":"26aaaec58b1ab1638dc15a3ea6554916427fb04864fb8b374b66c90dc035bf3f","named":{"brief":{"digest":"08ee1a8a6541774e42115210f7dcbe8c11f78e093b7ebc88c9c259c18f95674a"},"trial-7":{"digest":"b35f34803f28c3a918c51f6ecc0ecf0732e72a8db08429b4b0e80537978e95a6"},"trial-8":{"digest":"b64d72a59ee4b14324dcf04f2ba040a47d1c48a0fd4bbb61df610ab81c0ed465"}},"plan":{"ages":[{"seconds":300,"tolerance_seconds":30}],"alpha":"0.05","asks_liking":false,"asks_nearer":true,"asks_strength":true,"beta":"0.05","brief_id":"brief","confirmed":[],"descriptor":"","descriptor_order":"fixed","descriptors":[],"expected":"","expected_order":[],"first_trial_id":"trial-7","left_out":["wrong strip","ruined strip","unblinded"],"look_every":0,"medium":"strip","method":"triangle","null_sets":0,"other_trial_ids":[],"pairs_each":0,"pd":"0.3","plain_difference":false,"primary":300,"prior":"flat","replicates":2,"resmell":false,"seats":[{"number":1,"panelist_id":"person-1"}],"second_trial_id":"trial-8","skin_ages":[],"solo":true,"ties_allowed":true,"ties_rule":"drop","title":"Trial 7 against trial 8","warm_up":false,"zone":"UTC"},"servings":[{"age_seconds":300,"codes":["513","516","862"],"dips":[],"id":"dce40f5fb1d34c38","medium":"strip","place":1,"replicate":1,"seat":1,"sites":[],"spare":false,"void":false},{"age_seconds":300,"codes":["702","438","378"],"dips":[],"id":"2a962096b0a15360","medium":"strip","place":2,"replicate":2,"seat":1,"sites":[],"spare":false,"void":false},{"age_seconds":0,"codes":["263","716","562"],"dips":[],"id":"bb5804a9bb1c2f75","medium":"strip","place":3,"replicate":0,"seat":1,"sites":[],"spare":true,"void":false},{"age_seconds":0,"codes":["742","461","154"],"dips":[],"id":"a826ef9e038ce683","medium":"strip","place":4,"replicate":0,"seat":1,"sites":[],"spare":true,"void":false},{"age_seconds":0,"codes":["705","359","160"],"dips":[],"id":"911fcef0f039c8c7","medium":"strip","place":5,"replicate":0,"seat":1,"sites":[],"spare":true,"void":false},{"age_seconds":0,"codes":["594","813","649"],"dips":[],"id":"9d73864c431c042c","medium":"strip","place":6,"replicate":0,"seat":1,"sites":[],"spare":true,"void":false}]},"version":1}','3f4e61582594b15cdd218c7a55d6af00bd63a910f9ec02af31fc9da1fca569b4');
INSERT INTO "records" VALUES('alone',2,1767168000012,'start','{"value":{},"version":1}','66898a7f12c86d683594d74ee7ce32012fe65944c9211ba0f607e936570ba7fe');
INSERT INTO "records" VALUES('alone',3,1767168000013,'answer','{"value":{"at":5000,"ballot_id":"705ee42cda12f390","question":"choice","serving_id":"dce40f5fb1d34c38","value":"513"},"version":1}','65b3c962809a37b00b5b7faaaa923a1c9e6ce7a8470e3f2e5b9e72eae9d032fd');
INSERT INTO "records" VALUES('alone',4,1767168000014,'answer','{"value":{"at":5000,"ballot_id":"705ee42cda12f390","question":"choice","serving_id":"2a962096b0a15360","value":"702"},"version":1}','831fc306e3ebe3037fc0fc6604dcc9fdc98cb27550a37c0b9813f50afde93990');
INSERT INTO "records" VALUES('alone',5,1767168000015,'close','{"value":{},"version":1}','aaa46500782fcd1a7d44c364bda2d36e789bf3991eeefb9e6cac91f20a7846a5');
INSERT INTO "records" VALUES('alone',6,1767168000016,'marks','{"value":{"orders":{"2a962096b0a15360":"BBA","dce40f5fb1d34c38":"ABA"}},"version":1}','b5bcf2fab0abfa3c8b7cdfc040b427350e36fbb4c14fa313fd205cf86084c0b3');
INSERT INTO "records" VALUES('with null sets',1,1767168000018,'seal','{"value":{"ballots":[{"id":"54611c7fb8ff771d","panelist_id":"person-1","seat":1},{"id":"9f5e97be73c385db","panelist_id":"person-2","seat":2},{"id":"70f4c2e59740972d","panelist_id":"person-3","seat":3},{"id":"bf1adba7a7374e0b","panelist_id":null,"seat":4}],"commitment":"a3e07d435c66222eff639f299ad0b390b52c424a9846aa1acf31938c50dfeae2","groupings":"5bd6806470011f6498d6e5dd1741c0e7c96d6b789ca97a0343d0de9e8a003f0e","hash":"0f64f1c18f712fea6836bd5d863696d8cf99c367b399aae233004d3657a7bcfe","named":{"brief":{"digest":"ca73971e66712304456c23f3ac7bb27a00fa43966b7d4284e8f79947268f4582"},"trial-7":{"digest":"92869d992ad5eec17403fd88b27bfd6532570992b2c6d64b437c47047b980150"},"trial-8":{"digest":"5cb5a7ced3d50d496a950eee1d870f2268d13b33216e5873882458e3c016b07a"}},"plan":{"ages":[{"seconds":300,"tolerance_seconds":30}],"alpha":"0.05","asks_liking":false,"asks_nearer":true,"asks_strength":true,"beta":"0.05","brief_id":"brief","confirmed":[],"descriptor":"","descriptor_order":"fixed","descriptors":[],"draw":"independent","expected":"","expected_order":[],"first_trial_id":"trial-7","left_out":["wrong strip","ruined strip","unblinded"],"look_every":0,"medium":"strip","method":"triangle","null_sets":1,"other_trial_ids":[],"pairs_each":0,"pd":"0.3","plain_difference":false,"primary":300,"prior":"flat","replicates":1,"resmell":false,"seats":[{"number":1,"panelist_id":"person-1"},{"number":2,"panelist_id":"person-2"},{"number":3,"panelist_id":"person-3"},{"number":4,"panelist_id":null}],"second_trial_id":"trial-8","skin_ages":[],"solo":false,"ties_allowed":true,"ties_rule":"drop","title":"Trial 7 against trial 8","warm_up":false,"zone":"UTC"},"servings":[{"age_seconds":300,"codes":["513","516","862"],"dips":[2,0,1],"id":"26a9f461265422fb","medium":"strip","place":1,"replicate":1,"seat":1,"sites":[],"spare":false,"void":false},{"age_seconds":300,"codes":["702","438","378"],"dips":[2,1,0],"id":"dd8c658b0694f861","medium":"strip","place":2,"replicate":2,"seat":1,"sites":[],"spare":false,"void":false},{"age_seconds":0,"codes":["263","716","562"],"dips":[1,2,0],"id":"2ca47f6d7becb610","medium":"strip","place":3,"replicate":0,"seat":1,"sites":[],"spare":true,"void":false},{"age_seconds":300,"codes":["742","461","154"],"dips":[1,2,0],"id":"bfeae6c384e012f4","medium":"strip","place":1,"replicate":1,"seat":2,"sites":[],"spare":false,"void":false},{"age_seconds":300,"codes":["705","359","160"],"dips":[2,0,1],"id":"2f9e7338ae3d5cd2","medium":"strip","place":2,"replicate":2,"seat":2,"sites":[],"spare":false,"void":false},{"age_seconds":0,"codes":["594","813","649"],"dips":[2,1,0],"id":"b457e7d6bdae799a","medium":"strip","place":3,"replicate":0,"seat":2,"sites":[],"spare":true,"void":false},{"age_seconds":300,"codes":["395","945","260"],"dips":[2,1,0],"id":"dea7f516dee3ce23","medium":"strip","place":1,"replicate":1,"seat":3,"sites":[],"spare":false,"void":false},{"age_seconds":300,"codes":["867","941","298"],"dips":[2,0,1],"id":"5bcfdc45e2957e74","medium":"strip","place":2,"replicate":2,"seat":3,"sites":[],"spare":false,"void":false},{"age_seconds":0,"codes":["864","968","691"],"dips":[0,1,2],"id":"81ace80e6ce4ae61","medium":"strip","place":3,"replicate":0,"seat":3,"sites":[],"spare":true,"void":false},{"age_seconds":300,"codes":["850","721","812"],"dips":[1,0,2],"id":"8e82b9575102a3f2","medium":"strip","place":1,"replicate":1,"seat":4,"sites":[],"spare":false,"void":false},{"age_seconds":300,"codes":["236","730","203"],"dips":[1,0,2],"id":"efa2909b564354d7","medium":"strip","place":2,"replicate":2,"seat":4,"sites":[],"spare":false,"void":false},{"age_seconds":0,"codes":["197","832","690"],"dips":[1,2,0],"id":"378acbe19a9f1f79","medium":"strip","place":3,"replicate":0,"seat":4,"sites":[],"spare":true,"void":false}]},"version":1}','0b6fef99496cab566156a1ad3592c356558006eaa03019e5a72cefba958102b6');
INSERT INTO "records" VALUES('session',6,1767168000022,'stop','{"value":{"ballot_id":"8f11cd614f9f4048","kind":"unwell"},"version":1}','76e05ba14daf65f0bf3c35f211f79f90c14f7335b2f7ebcab16e9dc697a172af');
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
INSERT INTO "servings" VALUES('a5379935ec500ada','session',0,1,1,300,1,'513 516 862',0,0,'strip','','');
INSERT INTO "servings" VALUES('0ff4f4ddb6bff62e','session',1,1,2,3600,1,'702 438 378',0,0,'strip','','');
INSERT INTO "servings" VALUES('90367be7deb42a57','session',2,1,3,0,0,'263 716 562',1,0,'strip','','');
INSERT INTO "servings" VALUES('22813788e3efb139','session',3,2,1,300,1,'742 461 154',0,1,'strip','','');
INSERT INTO "servings" VALUES('e6d7853502248318','session',4,2,2,3600,1,'705 359 160',0,0,'strip','','');
INSERT INTO "servings" VALUES('e35486cf1e81f5ee','session',5,2,1,300,1,'594 813 649',0,0,'strip','','');
INSERT INTO "servings" VALUES('a4ae3438dd5e5316','session',6,3,1,300,1,'395 945 260',0,0,'strip','','');
INSERT INTO "servings" VALUES('e90ce668d1e3832a','session',7,3,2,3600,1,'867 941 298',0,0,'strip','','');
INSERT INTO "servings" VALUES('a10354e7c9c5c0ea','session',8,3,3,0,0,'864 968 691',1,0,'strip','','');
INSERT INTO "servings" VALUES('d02c66b4156332a3','session',9,4,1,300,1,'850 721 812',0,0,'strip','','');
INSERT INTO "servings" VALUES('3b7730526acfba82','session',10,4,2,3600,1,'236 730 203',0,0,'strip','','');
INSERT INTO "servings" VALUES('b44a09df2ca5d31b','session',11,4,3,0,0,'197 832 690',1,0,'strip','','');
INSERT INTO "servings" VALUES('dce40f5fb1d34c38','alone',0,1,1,300,1,'513 516 862',0,0,'strip','','');
INSERT INTO "servings" VALUES('2a962096b0a15360','alone',1,1,2,300,2,'702 438 378',0,0,'strip','','');
INSERT INTO "servings" VALUES('bb5804a9bb1c2f75','alone',2,1,3,0,0,'263 716 562',1,0,'strip','','');
INSERT INTO "servings" VALUES('a826ef9e038ce683','alone',3,1,4,0,0,'742 461 154',1,0,'strip','','');
INSERT INTO "servings" VALUES('911fcef0f039c8c7','alone',4,1,5,0,0,'705 359 160',1,0,'strip','','');
INSERT INTO "servings" VALUES('9d73864c431c042c','alone',5,1,6,0,0,'594 813 649',1,0,'strip','','');
INSERT INTO "servings" VALUES('26a9f461265422fb','with null sets',0,1,1,300,1,'513 516 862',0,0,'strip','','2 0 1');
INSERT INTO "servings" VALUES('dd8c658b0694f861','with null sets',1,1,2,300,2,'702 438 378',0,0,'strip','','2 1 0');
INSERT INTO "servings" VALUES('2ca47f6d7becb610','with null sets',2,1,3,0,0,'263 716 562',1,0,'strip','','1 2 0');
INSERT INTO "servings" VALUES('bfeae6c384e012f4','with null sets',3,2,1,300,1,'742 461 154',0,0,'strip','','1 2 0');
INSERT INTO "servings" VALUES('2f9e7338ae3d5cd2','with null sets',4,2,2,300,2,'705 359 160',0,0,'strip','','2 0 1');
INSERT INTO "servings" VALUES('b457e7d6bdae799a','with null sets',5,2,3,0,0,'594 813 649',1,0,'strip','','2 1 0');
INSERT INTO "servings" VALUES('dea7f516dee3ce23','with null sets',6,3,1,300,1,'395 945 260',0,0,'strip','','2 1 0');
INSERT INTO "servings" VALUES('5bcfdc45e2957e74','with null sets',7,3,2,300,2,'867 941 298',0,0,'strip','','2 0 1');
INSERT INTO "servings" VALUES('81ace80e6ce4ae61','with null sets',8,3,3,0,0,'864 968 691',1,0,'strip','','0 1 2');
INSERT INTO "servings" VALUES('8e82b9575102a3f2','with null sets',9,4,1,300,1,'850 721 812',0,0,'strip','','1 0 2');
INSERT INTO "servings" VALUES('efa2909b564354d7','with null sets',10,4,2,300,2,'236 730 203',0,0,'strip','','1 0 2');
INSERT INTO "servings" VALUES('378acbe19a9f1f79','with null sets',11,4,3,0,0,'197 832 690',1,0,'strip','','1 2 0');
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
INSERT INTO "sessions" VALUES('session','brief','trial-7','trial-8','{"value":{"ages":[{"seconds":300,"tolerance_seconds":30},{"seconds":3600,"tolerance_seconds":360}],"alpha":"0.05","asks_liking":false,"asks_nearer":true,"asks_strength":true,"beta":"0.05","brief_id":"brief","confirmed":[],"descriptor":"","descriptor_order":"fixed","descriptors":[],"expected":"","expected_order":[],"first_trial_id":"trial-7","left_out":["wrong strip","ruined strip","unblinded"],"look_every":0,"medium":"strip","method":"triangle","null_sets":0,"other_trial_ids":[],"pairs_each":0,"pd":"0.3","plain_difference":false,"primary":300,"prior":"flat","replicates":1,"resmell":false,"seats":[{"number":1,"panelist_id":"person-1"},{"number":2,"panelist_id":"person-2"},{"number":3,"panelist_id":"person-3"},{"number":4,"panelist_id":null}],"second_trial_id":"trial-8","skin_ages":[],"solo":false,"ties_allowed":true,"ties_rule":"drop","title":"Trial 7 against trial 8","warm_up":false,"zone":"UTC"},"version":1}','smelling',2000,1767168000004,'7d2924a0862710910159e8e2a9e0d1160066d51b1e9dd1fc6295a1ab83d89f2d','e60236e8134cb0b50b61bd4feefab6e7c7dd9413c602a95feec7b68731692c77');
INSERT INTO "sessions" VALUES('alone','brief','trial-7','trial-8','{"value":{"ages":[{"seconds":300,"tolerance_seconds":30}],"alpha":"0.05","asks_liking":false,"asks_nearer":true,"asks_strength":true,"beta":"0.05","brief_id":"brief","confirmed":[],"descriptor":"","descriptor_order":"fixed","descriptors":[],"expected":"","expected_order":[],"first_trial_id":"trial-7","left_out":["wrong strip","ruined strip","unblinded"],"look_every":0,"medium":"strip","method":"triangle","null_sets":0,"other_trial_ids":[],"pairs_each":0,"pd":"0.3","plain_difference":false,"primary":300,"prior":"flat","replicates":2,"resmell":false,"seats":[{"number":1,"panelist_id":"person-1"}],"second_trial_id":"trial-8","skin_ages":[],"solo":true,"ties_allowed":true,"ties_rule":"drop","title":"Trial 7 against trial 8","warm_up":false,"zone":"UTC"},"version":1}','closed',2000,1767168000010,'26aaaec58b1ab1638dc15a3ea6554916427fb04864fb8b374b66c90dc035bf3f','adfa916bea2417379a58c982480286a3e1aed627fee71993cd08cb58dff32fea');
INSERT INTO "sessions" VALUES('with null sets','brief','trial-7','trial-8','{"value":{"ages":[{"seconds":300,"tolerance_seconds":30}],"alpha":"0.05","asks_liking":false,"asks_nearer":true,"asks_strength":true,"beta":"0.05","brief_id":"brief","confirmed":[],"descriptor":"","descriptor_order":"fixed","descriptors":[],"draw":"independent","expected":"","expected_order":[],"first_trial_id":"trial-7","left_out":["wrong strip","ruined strip","unblinded"],"look_every":0,"medium":"strip","method":"triangle","null_sets":1,"other_trial_ids":[],"pairs_each":0,"pd":"0.3","plain_difference":false,"primary":300,"prior":"flat","replicates":1,"resmell":false,"seats":[{"number":1,"panelist_id":"person-1"},{"number":2,"panelist_id":"person-2"},{"number":3,"panelist_id":"person-3"},{"number":4,"panelist_id":null}],"second_trial_id":"trial-8","skin_ages":[],"solo":false,"ties_allowed":true,"ties_rule":"drop","title":"Trial 7 against trial 8","warm_up":false,"zone":"UTC"},"version":1}','sealed',2000,1767168000017,'0f64f1c18f712fea6836bd5d863696d8cf99c367b399aae233004d3657a7bcfe','a3e07d435c66222eff639f299ad0b390b52c424a9846aa1acf31938c50dfeae2');
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
INSERT INTO "stops" VALUES(1,'session','8f11cd614f9f4048','unwell',1767168000022,6);
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
