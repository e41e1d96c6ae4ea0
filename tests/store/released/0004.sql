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
INSERT INTO "answers" VALUES(1,'session','3fe9934ecd2750b8','539460b19b96222b','539460b19b96222b','choice','513',NULL,5000,1,3);
INSERT INTO "answers" VALUES(2,'session','3fe9934ecd2750b8','539460b19b96222b','539460b19b96222b','remark','','e8026b6e8fd26fea29a90abee1e21fb161381ee2ba33cbd5aea030815b1c0cf9',5000,1,4);
INSERT INTO "answers" VALUES(3,'alone','13263effad714adb','2cbc08081de96226','2cbc08081de96226','choice','513',NULL,5000,1,3);
INSERT INTO "answers" VALUES(4,'alone','13263effad714adb','8f90c70f4bb3afa5','8f90c70f4bb3afa5','choice','702',NULL,5000,1,4);
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
INSERT INTO "ballots" VALUES('3fe9934ecd2750b8','session',1,'person-1',1,NULL,NULL);
INSERT INTO "ballots" VALUES('77a9c3aef058caff','session',2,'person-2',1,NULL,NULL);
INSERT INTO "ballots" VALUES('c4f45f806806b5fa','session',3,'person-3',1,NULL,NULL);
INSERT INTO "ballots" VALUES('5ad92803e4052680','session',4,NULL,1,NULL,NULL);
INSERT INTO "ballots" VALUES('13263effad714adb','alone',1,'person-1',1,NULL,NULL);
INSERT INTO "ballots" VALUES('5f85729bf949e5a2','with null sets',1,'person-1',1,NULL,NULL);
INSERT INTO "ballots" VALUES('d0e6e337ab991f8e','with null sets',2,'person-2',1,NULL,NULL);
INSERT INTO "ballots" VALUES('019822ca70aff3b2','with null sets',3,'person-3',1,NULL,NULL);
INSERT INTO "ballots" VALUES('bb695a0ed559bfcd','with null sets',4,NULL,1,NULL,NULL);
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
INSERT INTO "groupings" VALUES('539460b19b96222b','YYX');
INSERT INTO "groupings" VALUES('58e20e7b4e81017e','YXY');
INSERT INTO "groupings" VALUES('b9bf4a5c145d237e','YXX');
INSERT INTO "groupings" VALUES('9373454c371c4c7c','XYX');
INSERT INTO "groupings" VALUES('a23750bfae515611','XXY');
INSERT INTO "groupings" VALUES('86642cc76b9e1849','YXY');
INSERT INTO "groupings" VALUES('09b9247b0ba9ddad','YYX');
INSERT INTO "groupings" VALUES('bf5d8146ce3ea4dc','YXY');
INSERT INTO "groupings" VALUES('758b68008ad75c35','XXY');
INSERT INTO "groupings" VALUES('3724e3224e081e04','YXX');
INSERT INTO "groupings" VALUES('3fbc645fee9ffdc1','XYX');
INSERT INTO "groupings" VALUES('b9f666606f808517','YXY');
INSERT INTO "groupings" VALUES('2cbc08081de96226','');
INSERT INTO "groupings" VALUES('8f90c70f4bb3afa5','');
INSERT INTO "groupings" VALUES('9aef26c902de8160','bYY');
INSERT INTO "groupings" VALUES('904644395fe2720e','bbX');
INSERT INTO "groupings" VALUES('11222c9e76e7ebb3','bXX');
INSERT INTO "groupings" VALUES('6de8397d8d7f5cf5','XaX');
INSERT INTO "groupings" VALUES('e0b60dd37f38bfa2','aYa');
INSERT INTO "groupings" VALUES('e9d12de1049e220e','aXa');
INSERT INTO "groupings" VALUES('e97cd2027547c507','aab');
INSERT INTO "groupings" VALUES('aed371f1dc73198d','YaY');
INSERT INTO "groupings" VALUES('8e3533d87b396780','bbY');
INSERT INTO "groupings" VALUES('8ce6a5ae4473e0e8','baa');
INSERT INTO "groupings" VALUES('f827dfca9ede71b3','bYY');
INSERT INTO "groupings" VALUES('1b2f06b5a73390c5','bab');
CREATE TABLE heads (
	session_id TEXT NOT NULL, 
	sequence INTEGER NOT NULL, 
	hash TEXT NOT NULL, 
	CONSTRAINT pk_heads PRIMARY KEY (session_id), 
	CONSTRAINT fk_heads_session_id FOREIGN KEY(session_id) REFERENCES sessions (id)
);
INSERT INTO "heads" VALUES('session',6,'03a1c3f1d4405862bdae3878ce17a95ee2bbaf2765db1994b8ddb851e981f2d8');
INSERT INTO "heads" VALUES('alone',6,'c4625fa80a4fb4a81f4029e3d7827ade219add92462bef469a4f39b5c8ffe746');
INSERT INTO "heads" VALUES('with null sets',1,'bfc8c8ea76348b1c42dd4bacf86fadd68a9a6f83e4c2312267d73d29040206bf');
CREATE TABLE key_orders (
	serving_id TEXT NOT NULL, 
	trials TEXT NOT NULL, 
	CONSTRAINT pk_key_orders PRIMARY KEY (serving_id), 
	CONSTRAINT fk_key_orders_serving_id FOREIGN KEY(serving_id) REFERENCES servings (id)
);
INSERT INTO "key_orders" VALUES('539460b19b96222b','BBA');
INSERT INTO "key_orders" VALUES('58e20e7b4e81017e','BAB');
INSERT INTO "key_orders" VALUES('b9bf4a5c145d237e','BAA');
INSERT INTO "key_orders" VALUES('9373454c371c4c7c','BAB');
INSERT INTO "key_orders" VALUES('a23750bfae515611','BBA');
INSERT INTO "key_orders" VALUES('86642cc76b9e1849','ABA');
INSERT INTO "key_orders" VALUES('09b9247b0ba9ddad','AAB');
INSERT INTO "key_orders" VALUES('bf5d8146ce3ea4dc','ABA');
INSERT INTO "key_orders" VALUES('758b68008ad75c35','BBA');
INSERT INTO "key_orders" VALUES('3724e3224e081e04','BAA');
INSERT INTO "key_orders" VALUES('3fbc645fee9ffdc1','ABA');
INSERT INTO "key_orders" VALUES('b9f666606f808517','BAB');
INSERT INTO "key_orders" VALUES('2cbc08081de96226','');
INSERT INTO "key_orders" VALUES('8f90c70f4bb3afa5','');
INSERT INTO "key_orders" VALUES('9aef26c902de8160','bBB');
INSERT INTO "key_orders" VALUES('904644395fe2720e','bbA');
INSERT INTO "key_orders" VALUES('11222c9e76e7ebb3','bAA');
INSERT INTO "key_orders" VALUES('6de8397d8d7f5cf5','BaB');
INSERT INTO "key_orders" VALUES('e0b60dd37f38bfa2','aAa');
INSERT INTO "key_orders" VALUES('e9d12de1049e220e','aBa');
INSERT INTO "key_orders" VALUES('e97cd2027547c507','aab');
INSERT INTO "key_orders" VALUES('aed371f1dc73198d','AaA');
INSERT INTO "key_orders" VALUES('8e3533d87b396780','bbA');
INSERT INTO "key_orders" VALUES('8ce6a5ae4473e0e8','baa');
INSERT INTO "key_orders" VALUES('f827dfca9ede71b3','bBB');
INSERT INTO "key_orders" VALUES('1b2f06b5a73390c5','bab');
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
INSERT INTO "marks" VALUES('2cbc08081de96226','ABA',1767168000013,6);
INSERT INTO "marks" VALUES('8f90c70f4bb3afa5','BBA',1767168000013,6);
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
INSERT INTO "mouillette_schema" VALUES('0004_skin_speaks_of_materials');
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
INSERT INTO "patches" VALUES('p1','person-1','trial-7','481','left upper arm, inner side','10',1767168000016,'{"value":{"lines":[{"material_id":"m1","share_percent":"100","stock_percent":"100"}]},"version":1}');
INSERT INTO "patches" VALUES('p2','person-1','trial-7','482','right upper arm, inner side','10',1767168000016,'{"value":{"lines":[{"material_id":"m1","share_percent":"100","stock_percent":"100"}]},"version":1}');
INSERT INTO "patches" VALUES('p3','person-1','trial-7','483','left upper arm, outer side','10',1767168000016,'{"value":{"lines":[{"material_id":"m1","share_percent":"100","stock_percent":"100"}]},"version":1}');
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
INSERT INTO "personal_texts" VALUES('e8026b6e8fd26fea29a90abee1e21fb161381ee2ba33cbd5aea030815b1c0cf9','session','person-1','a3e096cb2aafb83bba9126dee1164f70','greener than I thought');
INSERT INTO "personal_texts" VALUES('fe157cd8672e911dfbbe15db5015ac1d2f2184770e3a300bf275052f8184d44c','session','person-2','0782228785103269e4e86877a7b00b91','fell on the floor');
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
INSERT INTO "records" VALUES('session',1,1767168000002,'seal','{"value":{"ballots":[{"id":"3fe9934ecd2750b8","panelist_id":"person-1","seat":1},{"id":"77a9c3aef058caff","panelist_id":"person-2","seat":2},{"id":"c4f45f806806b5fa","panelist_id":"person-3","seat":3},{"id":"5ad92803e4052680","panelist_id":null,"seat":4}],"commitment":"3a2ec0baee6fad7c3fc358e28eb4b2f736d1b799ce07a9b8ecc091a23decd7e8","hash":"7d2924a0862710910159e8e2a9e0d1160066d51b1e9dd1fc6295a1ab83d89f2d","plan":{"ages":[{"seconds":300,"tolerance_seconds":30},{"seconds":3600,"tolerance_seconds":360}],"alpha":"0.05","asks_liking":false,"asks_nearer":true,"asks_strength":true,"beta":"0.05","brief_id":"brief","confirmed":[],"descriptor":"","descriptor_order":"fixed","descriptors":[],"expected":"","expected_order":[],"first_trial_id":"trial-7","left_out":["wrong strip","ruined strip","unblinded"],"look_every":0,"medium":"strip","method":"triangle","null_sets":0,"other_trial_ids":[],"pairs_each":0,"pd":"0.3","plain_difference":false,"primary":300,"prior":"flat","replicates":1,"resmell":false,"seats":[{"number":1,"panelist_id":"person-1"},{"number":2,"panelist_id":"person-2"},{"number":3,"panelist_id":"person-3"},{"number":4,"panelist_id":null}],"second_trial_id":"trial-8","skin_ages":[],"solo":false,"ties_allowed":true,"ties_rule":"drop","title":"Trial 7 against trial 8","warm_up":false,"zone":"UTC"},"servings":[{"age_seconds":300,"codes":["513","516","862"],"id":"539460b19b96222b","medium":"strip","place":1,"replicate":1,"seat":1,"sites":[],"spare":false,"void":false},{"age_seconds":3600,"codes":["702","438","378"],"id":"58e20e7b4e81017e","medium":"strip","place":2,"replicate":1,"seat":1,"sites":[],"spare":false,"void":false},{"age_seconds":0,"codes":["263","716","562"],"id":"b9bf4a5c145d237e","medium":"strip","place":3,"replicate":0,"seat":1,"sites":[],"spare":true,"void":false},{"age_seconds":300,"codes":["742","461","154"],"id":"9373454c371c4c7c","medium":"strip","place":1,"replicate":1,"seat":2,"sites":[],"spare":false,"void":false},{"age_seconds":3600,"codes":["705","359","160"],"id":"a23750bfae515611","medium":"strip","place":2,"replicate":1,"seat":2,"sites":[],"spare":false,"void":false},{"age_seconds":0,"codes":["594","813","649"],"id":"86642cc76b9e1849","medium":"strip","place":3,"replicate":0,"seat":2,"sites":[],"spare":true,"void":false},{"age_seconds":300,"codes":["395","945","260"],"id":"09b9247b0ba9ddad","medium":"strip","place":1,"replicate":1,"seat":3,"sites":[],"spare":false,"void":false},{"age_seconds":3600,"codes":["867","941","298"],"id":"bf5d8146ce3ea4dc","medium":"strip","place":2,"replicate":1,"seat":3,"sites":[],"spare":false,"void":false},{"age_seconds":0,"codes":["864","968","691"],"id":"758b68008ad75c35","medium":"strip","place":3,"replicate":0,"seat":3,"sites":[],"spare":true,"void":false},{"age_seconds":300,"codes":["850","721","812"],"id":"3724e3224e081e04","medium":"strip","place":1,"replicate":1,"seat":4,"sites":[],"spare":false,"void":false},{"age_seconds":3600,"codes":["236","730","203"],"id":"3fbc645fee9ffdc1","medium":"strip","place":2,"replicate":1,"seat":4,"sites":[],"spare":false,"void":false},{"age_seconds":0,"codes":["197","832","690"],"id":"b9f666606f808517","medium":"strip","place":3,"replicate":0,"seat":4,"sites":[],"spare":true,"void":false}]},"version":1}','caec22ef8b9467004c735cdf5adb3cc504fc597650035c2e257e0baf00c859ec');
INSERT INTO "records" VALUES('session',2,1767168000003,'start','{"value":{},"version":1}','82b595a78582d8438c419a84bfa64fc0cda2a785095374cd32c8e1a90e5de813');
INSERT INTO "records" VALUES('session',3,1767168000004,'answer','{"value":{"at":5000,"ballot_id":"3fe9934ecd2750b8","question":"choice","serving_id":"539460b19b96222b","value":"513"},"version":1}','079af6d2592e1daf2bdef0e31cf990f498e82c19a2012108a2056fbbacc427b7');
INSERT INTO "records" VALUES('session',4,1767168000005,'answer','{"value":{"at":5000,"ballot_id":"3fe9934ecd2750b8","question":"remark","remark":{"digest":"e8026b6e8fd26fea29a90abee1e21fb161381ee2ba33cbd5aea030815b1c0cf9"},"serving_id":"539460b19b96222b"},"version":1}','97dacfe6ee0578dd296e64973df6100f9f1a6b8336adb03a847b823790c9a3b5');
INSERT INTO "records" VALUES('session',5,1767168000006,'void serving','{"value":{"reason":{"digest":"fe157cd8672e911dfbbe15db5015ac1d2f2184770e3a300bf275052f8184d44c"},"seat":2,"serving_id":"9373454c371c4c7c","spare_id":"86642cc76b9e1849"},"version":1}','583c017027eda63c2b8a72fec8e069dee337bbeac94c07a1de658decf13c3139');
INSERT INTO "records" VALUES('alone',1,1767168000008,'seal','{"value":{"ballots":[{"id":"13263effad714adb","panelist_id":"person-1","seat":1}],"commitment":"705bcf0d74a0de9c18cff2a1fe4517d22e506f15d40c83c8833493bd8c5bb806","hash":"26aaaec58b1ab1638dc15a3ea6554916427fb04864fb8b374b66c90dc035bf3f","plan":{"ages":[{"seconds":300,"tolerance_seconds":30}],"alpha":"0.05","asks_liking":false,"asks_nearer":true,"asks_strength":true,"beta":"0.05","brief_id":"brief","confirmed":[],"descriptor":"","descriptor_order":"fixed","descriptors":[],"expected":"","expected_order":[],"first_trial_id":"trial-7","left_out":["wrong strip","ruined strip","unblinded"],"look_every":0,"medium":"strip","method":"triangle","null_sets":0,"other_trial_ids":[],"pairs_each":0,"pd":"0.3","plain_difference":false,"primary":300,"prior":"flat","replicates":2,"resmell":false,"seats":[{"number":1,"panelist_id":"person-1"}],"second_trial_id":"trial-8","skin_ages":[],"solo":true,"ties_allowed":true,"ties_rule":"drop","title":"Trial 7 against trial 8","warm_up":false,"zone":"UTC"},"servings":[{"age_seconds":300,"codes":["513","516","862"],"id":"2cbc08081de96226","medium":"strip","place":1,"replicate":1,"seat":1,"sites":[],"spare":false,"void":false},{"age_seconds":300,"codes":["702","438","378"],"id":"8f90c70f4bb3afa5","medium":"strip","place":2,"replicate":2,"seat":1,"sites":[],"spare":false,"void":false}]},"version":1}','f6f8ce144def634017a2144671e5c8025fe1fe9ed20d0df7ddd756a186ac420d');
INSERT INTO "records" VALUES('alone',2,1767168000009,'start','{"value":{},"version":1}','cd2b5825de5bbdd7b1e5c240fa0002ff48ba5504856c298a668d9769983fa2bd');
INSERT INTO "records" VALUES('alone',3,1767168000010,'answer','{"value":{"at":5000,"ballot_id":"13263effad714adb","question":"choice","serving_id":"2cbc08081de96226","value":"513"},"version":1}','05c9055e57a2d1542bdc67f8a10d1104a963f751a8548d9d1c8dbccccffcc772');
INSERT INTO "records" VALUES('alone',4,1767168000011,'answer','{"value":{"at":5000,"ballot_id":"13263effad714adb","question":"choice","serving_id":"8f90c70f4bb3afa5","value":"702"},"version":1}','ad3e276c5d40abd3a57dddd859083baa896ed5a30d6ed32d2e28ea5bc48ffcc3');
INSERT INTO "records" VALUES('alone',5,1767168000012,'close','{"value":{},"version":1}','a9d02eae15ed7b89abbc5589ba7f55f1730ccf6cedfbb474b10074b2f35466d2');
INSERT INTO "records" VALUES('alone',6,1767168000013,'marks','{"value":{"orders":{"2cbc08081de96226":"ABA","8f90c70f4bb3afa5":"BBA"}},"version":1}','c4625fa80a4fb4a81f4029e3d7827ade219add92462bef469a4f39b5c8ffe746');
INSERT INTO "records" VALUES('with null sets',1,1767168000015,'seal','{"value":{"ballots":[{"id":"5f85729bf949e5a2","panelist_id":"person-1","seat":1},{"id":"d0e6e337ab991f8e","panelist_id":"person-2","seat":2},{"id":"019822ca70aff3b2","panelist_id":"person-3","seat":3},{"id":"bb695a0ed559bfcd","panelist_id":null,"seat":4}],"commitment":"b3ae27404fececd53ed187079817986feff68484f3d7fed87c8a345eae615e28","hash":"f041f3ec2e7b62f6fdc0cf92436b7acffae5986244867013daaacb6c2b684717","plan":{"ages":[{"seconds":300,"tolerance_seconds":30}],"alpha":"0.05","asks_liking":false,"asks_nearer":true,"asks_strength":true,"beta":"0.05","brief_id":"brief","confirmed":[],"descriptor":"","descriptor_order":"fixed","descriptors":[],"expected":"","expected_order":[],"first_trial_id":"trial-7","left_out":["wrong strip","ruined strip","unblinded"],"look_every":0,"medium":"strip","method":"triangle","null_sets":1,"other_trial_ids":[],"pairs_each":0,"pd":"0.3","plain_difference":false,"primary":300,"prior":"flat","replicates":1,"resmell":false,"seats":[{"number":1,"panelist_id":"person-1"},{"number":2,"panelist_id":"person-2"},{"number":3,"panelist_id":"person-3"},{"number":4,"panelist_id":null}],"second_trial_id":"trial-8","skin_ages":[],"solo":false,"ties_allowed":true,"ties_rule":"drop","title":"Trial 7 against trial 8","warm_up":false,"zone":"UTC"},"servings":[{"age_seconds":300,"codes":["513","516","862"],"id":"9aef26c902de8160","medium":"strip","place":1,"replicate":1,"seat":1,"sites":[],"spare":false,"void":false},{"age_seconds":300,"codes":["702","438","378"],"id":"904644395fe2720e","medium":"strip","place":2,"replicate":2,"seat":1,"sites":[],"spare":false,"void":false},{"age_seconds":0,"codes":["263","716","562"],"id":"11222c9e76e7ebb3","medium":"strip","place":3,"replicate":0,"seat":1,"sites":[],"spare":true,"void":false},{"age_seconds":300,"codes":["742","461","154"],"id":"6de8397d8d7f5cf5","medium":"strip","place":1,"replicate":1,"seat":2,"sites":[],"spare":false,"void":false},{"age_seconds":300,"codes":["705","359","160"],"id":"e0b60dd37f38bfa2","medium":"strip","place":2,"replicate":2,"seat":2,"sites":[],"spare":false,"void":false},{"age_seconds":0,"codes":["594","813","649"],"id":"e9d12de1049e220e","medium":"strip","place":3,"replicate":0,"seat":2,"sites":[],"spare":true,"void":false},{"age_seconds":300,"codes":["395","945","260"],"id":"e97cd2027547c507","medium":"strip","place":1,"replicate":1,"seat":3,"sites":[],"spare":false,"void":false},{"age_seconds":300,"codes":["867","941","298"],"id":"aed371f1dc73198d","medium":"strip","place":2,"replicate":2,"seat":3,"sites":[],"spare":false,"void":false},{"age_seconds":0,"codes":["864","968","691"],"id":"8e3533d87b396780","medium":"strip","place":3,"replicate":0,"seat":3,"sites":[],"spare":true,"void":false},{"age_seconds":300,"codes":["850","721","812"],"id":"8ce6a5ae4473e0e8","medium":"strip","place":1,"replicate":1,"seat":4,"sites":[],"spare":false,"void":false},{"age_seconds":300,"codes":["236","730","203"],"id":"f827dfca9ede71b3","medium":"strip","place":2,"replicate":2,"seat":4,"sites":[],"spare":false,"void":false},{"age_seconds":0,"codes":["197","832","690"],"id":"1b2f06b5a73390c5","medium":"strip","place":3,"replicate":0,"seat":4,"sites":[],"spare":true,"void":false}]},"version":1}','bfc8c8ea76348b1c42dd4bacf86fadd68a9a6f83e4c2312267d73d29040206bf');
INSERT INTO "records" VALUES('session',6,1767168000017,'stop','{"value":{"ballot_id":"77a9c3aef058caff","kind":"unwell"},"version":1}','03a1c3f1d4405862bdae3878ce17a95ee2bbaf2765db1994b8ddb851e981f2d8');
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
INSERT INTO "servings" VALUES('539460b19b96222b','session',0,1,1,300,1,'513 516 862',0,0,'strip','');
INSERT INTO "servings" VALUES('58e20e7b4e81017e','session',1,1,2,3600,1,'702 438 378',0,0,'strip','');
INSERT INTO "servings" VALUES('b9bf4a5c145d237e','session',2,1,3,0,0,'263 716 562',1,0,'strip','');
INSERT INTO "servings" VALUES('9373454c371c4c7c','session',3,2,1,300,1,'742 461 154',0,1,'strip','');
INSERT INTO "servings" VALUES('a23750bfae515611','session',4,2,2,3600,1,'705 359 160',0,0,'strip','');
INSERT INTO "servings" VALUES('86642cc76b9e1849','session',5,2,1,300,1,'594 813 649',0,0,'strip','');
INSERT INTO "servings" VALUES('09b9247b0ba9ddad','session',6,3,1,300,1,'395 945 260',0,0,'strip','');
INSERT INTO "servings" VALUES('bf5d8146ce3ea4dc','session',7,3,2,3600,1,'867 941 298',0,0,'strip','');
INSERT INTO "servings" VALUES('758b68008ad75c35','session',8,3,3,0,0,'864 968 691',1,0,'strip','');
INSERT INTO "servings" VALUES('3724e3224e081e04','session',9,4,1,300,1,'850 721 812',0,0,'strip','');
INSERT INTO "servings" VALUES('3fbc645fee9ffdc1','session',10,4,2,3600,1,'236 730 203',0,0,'strip','');
INSERT INTO "servings" VALUES('b9f666606f808517','session',11,4,3,0,0,'197 832 690',1,0,'strip','');
INSERT INTO "servings" VALUES('2cbc08081de96226','alone',0,1,1,300,1,'513 516 862',0,0,'strip','');
INSERT INTO "servings" VALUES('8f90c70f4bb3afa5','alone',1,1,2,300,2,'702 438 378',0,0,'strip','');
INSERT INTO "servings" VALUES('9aef26c902de8160','with null sets',0,1,1,300,1,'513 516 862',0,0,'strip','');
INSERT INTO "servings" VALUES('904644395fe2720e','with null sets',1,1,2,300,2,'702 438 378',0,0,'strip','');
INSERT INTO "servings" VALUES('11222c9e76e7ebb3','with null sets',2,1,3,0,0,'263 716 562',1,0,'strip','');
INSERT INTO "servings" VALUES('6de8397d8d7f5cf5','with null sets',3,2,1,300,1,'742 461 154',0,0,'strip','');
INSERT INTO "servings" VALUES('e0b60dd37f38bfa2','with null sets',4,2,2,300,2,'705 359 160',0,0,'strip','');
INSERT INTO "servings" VALUES('e9d12de1049e220e','with null sets',5,2,3,0,0,'594 813 649',1,0,'strip','');
INSERT INTO "servings" VALUES('e97cd2027547c507','with null sets',6,3,1,300,1,'395 945 260',0,0,'strip','');
INSERT INTO "servings" VALUES('aed371f1dc73198d','with null sets',7,3,2,300,2,'867 941 298',0,0,'strip','');
INSERT INTO "servings" VALUES('8e3533d87b396780','with null sets',8,3,3,0,0,'864 968 691',1,0,'strip','');
INSERT INTO "servings" VALUES('8ce6a5ae4473e0e8','with null sets',9,4,1,300,1,'850 721 812',0,0,'strip','');
INSERT INTO "servings" VALUES('f827dfca9ede71b3','with null sets',10,4,2,300,2,'236 730 203',0,0,'strip','');
INSERT INTO "servings" VALUES('1b2f06b5a73390c5','with null sets',11,4,3,0,0,'197 832 690',1,0,'strip','');
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
INSERT INTO "sessions" VALUES('session','brief','trial-7','trial-8','{"value":{"ages":[{"seconds":300,"tolerance_seconds":30},{"seconds":3600,"tolerance_seconds":360}],"alpha":"0.05","asks_liking":false,"asks_nearer":true,"asks_strength":true,"beta":"0.05","brief_id":"brief","confirmed":[],"descriptor":"","descriptor_order":"fixed","descriptors":[],"expected":"","expected_order":[],"first_trial_id":"trial-7","left_out":["wrong strip","ruined strip","unblinded"],"look_every":0,"medium":"strip","method":"triangle","null_sets":0,"other_trial_ids":[],"pairs_each":0,"pd":"0.3","plain_difference":false,"primary":300,"prior":"flat","replicates":1,"resmell":false,"seats":[{"number":1,"panelist_id":"person-1"},{"number":2,"panelist_id":"person-2"},{"number":3,"panelist_id":"person-3"},{"number":4,"panelist_id":null}],"second_trial_id":"trial-8","skin_ages":[],"solo":false,"ties_allowed":true,"ties_rule":"drop","title":"Trial 7 against trial 8","warm_up":false,"zone":"UTC"},"version":1}','smelling',2000,1767168000001,'7d2924a0862710910159e8e2a9e0d1160066d51b1e9dd1fc6295a1ab83d89f2d','3a2ec0baee6fad7c3fc358e28eb4b2f736d1b799ce07a9b8ecc091a23decd7e8');
INSERT INTO "sessions" VALUES('alone','brief','trial-7','trial-8','{"value":{"ages":[{"seconds":300,"tolerance_seconds":30}],"alpha":"0.05","asks_liking":false,"asks_nearer":true,"asks_strength":true,"beta":"0.05","brief_id":"brief","confirmed":[],"descriptor":"","descriptor_order":"fixed","descriptors":[],"expected":"","expected_order":[],"first_trial_id":"trial-7","left_out":["wrong strip","ruined strip","unblinded"],"look_every":0,"medium":"strip","method":"triangle","null_sets":0,"other_trial_ids":[],"pairs_each":0,"pd":"0.3","plain_difference":false,"primary":300,"prior":"flat","replicates":2,"resmell":false,"seats":[{"number":1,"panelist_id":"person-1"}],"second_trial_id":"trial-8","skin_ages":[],"solo":true,"ties_allowed":true,"ties_rule":"drop","title":"Trial 7 against trial 8","warm_up":false,"zone":"UTC"},"version":1}','closed',2000,1767168000007,'26aaaec58b1ab1638dc15a3ea6554916427fb04864fb8b374b66c90dc035bf3f','705bcf0d74a0de9c18cff2a1fe4517d22e506f15d40c83c8833493bd8c5bb806');
INSERT INTO "sessions" VALUES('with null sets','brief','trial-7','trial-8','{"value":{"ages":[{"seconds":300,"tolerance_seconds":30}],"alpha":"0.05","asks_liking":false,"asks_nearer":true,"asks_strength":true,"beta":"0.05","brief_id":"brief","confirmed":[],"descriptor":"","descriptor_order":"fixed","descriptors":[],"expected":"","expected_order":[],"first_trial_id":"trial-7","left_out":["wrong strip","ruined strip","unblinded"],"look_every":0,"medium":"strip","method":"triangle","null_sets":1,"other_trial_ids":[],"pairs_each":0,"pd":"0.3","plain_difference":false,"primary":300,"prior":"flat","replicates":1,"resmell":false,"seats":[{"number":1,"panelist_id":"person-1"},{"number":2,"panelist_id":"person-2"},{"number":3,"panelist_id":"person-3"},{"number":4,"panelist_id":null}],"second_trial_id":"trial-8","skin_ages":[],"solo":false,"ties_allowed":true,"ties_rule":"drop","title":"Trial 7 against trial 8","warm_up":false,"zone":"UTC"},"version":1}','sealed',2000,1767168000014,'f041f3ec2e7b62f6fdc0cf92436b7acffae5986244867013daaacb6c2b684717','b3ae27404fececd53ed187079817986feff68484f3d7fed87c8a345eae615e28');
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
INSERT INTO "skin_limits" VALUES(1,'m1','0.4','invented sheet 4','2020-02-01','left on skin',1767168000016);
CREATE TABLE skin_log (
	id INTEGER NOT NULL, 
	kind TEXT NOT NULL, 
	panelist_id TEXT, 
	body TEXT NOT NULL, 
	at BIGINT NOT NULL, 
	CONSTRAINT pk_skin_log PRIMARY KEY (id), 
	CONSTRAINT fk_skin_log_panelist_id FOREIGN KEY(panelist_id) REFERENCES panelists (id)
);
INSERT INTO "skin_log" VALUES(1,'limit confirmed',NULL,'{"value":{"limit":1,"material":"m1","who":"Ida Fern, chemist"},"version":1}',1767168000016);
INSERT INTO "skin_log" VALUES(2,'patch put on','person-1','{"value":{"patch":"p1"},"version":1}',1767168000016);
INSERT INTO "skin_log" VALUES(3,'patch put on','person-1','{"value":{"patch":"p2"},"version":1}',1767168000016);
INSERT INTO "skin_log" VALUES(4,'patch put on','person-1','{"value":{"patch":"p3"},"version":1}',1767168000016);
INSERT INTO "skin_log" VALUES(5,'reading','person-1','{"value":{"note":"","patch":"p1","result":"clear"},"version":1}',1767348000016);
INSERT INTO "skin_log" VALUES(6,'reading','person-1','{"value":{"note":"","patch":"p1","result":"clear"},"version":1}',1767438000016);
INSERT INTO "skin_log" VALUES(7,'asked what changed','person-1','{"value":{"changed":["batch"],"patch":"p1"},"version":1}',1770408000016);
INSERT INTO "skin_log" VALUES(8,'reading','person-1','{"value":{"note":"red","patch":"p2","result":"reaction"},"version":1}',1767276000016);
INSERT INTO "skin_log" VALUES(9,'patch cancelled','person-1','{"value":{"patch":"p3","reason":"washed off"},"version":1}',1767276000016);
INSERT INTO "skin_log" VALUES(10,'reaction','person-1','{"value":{"materials":["m1"],"note":"","patch":"p2","session":"","trials":["trial-7"]},"version":1}',1767276000016);
INSERT INTO "skin_log" VALUES(11,'may be applied again',NULL,'{"value":{"materials":["m1"],"reason":"it was the soap"},"version":1}',1767312000016);
INSERT INTO "skin_log" VALUES(12,'advice','person-1','{"value":{"given_on":"2026-01-02","materials":["m1"],"note":"","who":"Dr Ida Fern"},"version":1}',1767312000016);
INSERT INTO "skin_log" VALUES(13,'stop explained','person-2','{"value":{"reason":"too warm a room"},"version":1}',1767312000016);
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
INSERT INTO "stops" VALUES(1,'session','77a9c3aef058caff','unwell',1767168000017,6);
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
