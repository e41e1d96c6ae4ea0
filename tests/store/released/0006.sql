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
INSERT INTO "answers" VALUES(1,'session','b3ae1acf66ace232','ba62b9fc40d82a70','ba62b9fc40d82a70','choice','513',NULL,5000,1,3);
INSERT INTO "answers" VALUES(2,'session','b3ae1acf66ace232','ba62b9fc40d82a70','ba62b9fc40d82a70','remark','','1fc57992bde0628b4733390ae8554f6964d21f2a49277f8595d7e9bed5eb5224',5000,1,4);
INSERT INTO "answers" VALUES(3,'alone','f498544222a8c600','a23a38b22400f612','a23a38b22400f612','choice','513',NULL,5000,1,3);
INSERT INTO "answers" VALUES(4,'alone','f498544222a8c600','e4a49f61d0d63bee','e4a49f61d0d63bee','choice','702',NULL,5000,1,4);
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
INSERT INTO "ballots" VALUES('b3ae1acf66ace232','session',1,'person-1',1,NULL,NULL);
INSERT INTO "ballots" VALUES('4705757d7d8c90e9','session',2,'person-2',1,NULL,NULL);
INSERT INTO "ballots" VALUES('3ed7503826974435','session',3,'person-3',1,NULL,NULL);
INSERT INTO "ballots" VALUES('bcb40490a2b122ae','session',4,NULL,1,NULL,NULL);
INSERT INTO "ballots" VALUES('f498544222a8c600','alone',1,'person-1',1,NULL,NULL);
INSERT INTO "ballots" VALUES('3aefa84b2f092027','with null sets',1,'person-1',1,NULL,NULL);
INSERT INTO "ballots" VALUES('30109662fc2ad293','with null sets',2,'person-2',1,NULL,NULL);
INSERT INTO "ballots" VALUES('52dd0d8057aeea7f','with null sets',3,'person-3',1,NULL,NULL);
INSERT INTO "ballots" VALUES('fc844ad77f2dc67b','with null sets',4,NULL,1,NULL,NULL);
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
INSERT INTO "formulas" VALUES('trial-7','100',1767168000018);
INSERT INTO "formulas" VALUES('trial-8','',1767168000019);
CREATE TABLE groupings (
	serving_id TEXT NOT NULL, 
	pattern TEXT NOT NULL, 
	CONSTRAINT pk_groupings PRIMARY KEY (serving_id), 
	CONSTRAINT fk_groupings_serving_id FOREIGN KEY(serving_id) REFERENCES servings (id)
);
INSERT INTO "groupings" VALUES('ba62b9fc40d82a70','YYX');
INSERT INTO "groupings" VALUES('2be605f37829841d','YXY');
INSERT INTO "groupings" VALUES('306cece152ea4426','YXX');
INSERT INTO "groupings" VALUES('c79d2003ccb71ef6','XYX');
INSERT INTO "groupings" VALUES('81d94fc23aa6c154','XXY');
INSERT INTO "groupings" VALUES('789554e2331f42fa','YXY');
INSERT INTO "groupings" VALUES('4fb864ee09e2ecd1','YYX');
INSERT INTO "groupings" VALUES('67d88e60be72683c','YXY');
INSERT INTO "groupings" VALUES('7c2a6fa6260bc951','XXY');
INSERT INTO "groupings" VALUES('7ae1e039c4da4a48','YXX');
INSERT INTO "groupings" VALUES('adf864c0273068e0','XYX');
INSERT INTO "groupings" VALUES('13f8ba73efbe04a6','YXY');
INSERT INTO "groupings" VALUES('a23a38b22400f612','');
INSERT INTO "groupings" VALUES('e4a49f61d0d63bee','');
INSERT INTO "groupings" VALUES('9edb8d3ee00eaa3f','');
INSERT INTO "groupings" VALUES('2fffc84323ae952d','');
INSERT INTO "groupings" VALUES('f4fd327dbdee300e','');
INSERT INTO "groupings" VALUES('a81e9f8292274ce2','');
INSERT INTO "groupings" VALUES('3e54d51002f9f2f7','XaX');
INSERT INTO "groupings" VALUES('7909da1c697cdcbe','bXX');
INSERT INTO "groupings" VALUES('4ebdc2ed30b2d1d7','Yaa');
INSERT INTO "groupings" VALUES('59ea758da57dd4dc','aab');
INSERT INTO "groupings" VALUES('ab0ae6a0b969ff1c','YaY');
INSERT INTO "groupings" VALUES('2dff74c10fd6aa5a','baa');
INSERT INTO "groupings" VALUES('c931af00e1f0c376','YbY');
INSERT INTO "groupings" VALUES('c891a13be878d4d5','Yaa');
INSERT INTO "groupings" VALUES('478a522283df0d39','Xaa');
INSERT INTO "groupings" VALUES('566be1b5a248aad9','bbX');
INSERT INTO "groupings" VALUES('173bd56f4a67257d','bbY');
INSERT INTO "groupings" VALUES('d137f49797e72994','aba');
CREATE TABLE heads (
	session_id TEXT NOT NULL, 
	sequence INTEGER NOT NULL, 
	hash TEXT NOT NULL, 
	CONSTRAINT pk_heads PRIMARY KEY (session_id), 
	CONSTRAINT fk_heads_session_id FOREIGN KEY(session_id) REFERENCES sessions (id)
);
INSERT INTO "heads" VALUES('session',6,'8cbcbb7c6a8462717cb074b9d0ed8c56e56e383124c47d6fcbcf5eee24369c5f');
INSERT INTO "heads" VALUES('alone',6,'7077d97c7dd33ed0436ebc510b965694686defd86ff8aa7cd1aceb39af3b92e7');
INSERT INTO "heads" VALUES('with null sets',1,'a9578289f782bade79687ba64230793593f3aee89328df8ba0fa53b0b4544aca');
CREATE TABLE key_orders (
	serving_id TEXT NOT NULL, 
	trials TEXT NOT NULL, 
	CONSTRAINT pk_key_orders PRIMARY KEY (serving_id), 
	CONSTRAINT fk_key_orders_serving_id FOREIGN KEY(serving_id) REFERENCES servings (id)
);
INSERT INTO "key_orders" VALUES('ba62b9fc40d82a70','BBA');
INSERT INTO "key_orders" VALUES('2be605f37829841d','BAB');
INSERT INTO "key_orders" VALUES('306cece152ea4426','BAA');
INSERT INTO "key_orders" VALUES('c79d2003ccb71ef6','BAB');
INSERT INTO "key_orders" VALUES('81d94fc23aa6c154','BBA');
INSERT INTO "key_orders" VALUES('789554e2331f42fa','ABA');
INSERT INTO "key_orders" VALUES('4fb864ee09e2ecd1','AAB');
INSERT INTO "key_orders" VALUES('67d88e60be72683c','ABA');
INSERT INTO "key_orders" VALUES('7c2a6fa6260bc951','BBA');
INSERT INTO "key_orders" VALUES('7ae1e039c4da4a48','BAA');
INSERT INTO "key_orders" VALUES('adf864c0273068e0','ABA');
INSERT INTO "key_orders" VALUES('13f8ba73efbe04a6','BAB');
INSERT INTO "key_orders" VALUES('a23a38b22400f612','');
INSERT INTO "key_orders" VALUES('e4a49f61d0d63bee','');
INSERT INTO "key_orders" VALUES('9edb8d3ee00eaa3f','');
INSERT INTO "key_orders" VALUES('2fffc84323ae952d','');
INSERT INTO "key_orders" VALUES('f4fd327dbdee300e','');
INSERT INTO "key_orders" VALUES('a81e9f8292274ce2','');
INSERT INTO "key_orders" VALUES('3e54d51002f9f2f7','AaA');
INSERT INTO "key_orders" VALUES('7909da1c697cdcbe','bAA');
INSERT INTO "key_orders" VALUES('4ebdc2ed30b2d1d7','Baa');
INSERT INTO "key_orders" VALUES('59ea758da57dd4dc','aab');
INSERT INTO "key_orders" VALUES('ab0ae6a0b969ff1c','AaA');
INSERT INTO "key_orders" VALUES('2dff74c10fd6aa5a','baa');
INSERT INTO "key_orders" VALUES('c931af00e1f0c376','AbA');
INSERT INTO "key_orders" VALUES('c891a13be878d4d5','Aaa');
INSERT INTO "key_orders" VALUES('478a522283df0d39','Baa');
INSERT INTO "key_orders" VALUES('566be1b5a248aad9','bbA');
INSERT INTO "key_orders" VALUES('173bd56f4a67257d','bbB');
INSERT INTO "key_orders" VALUES('d137f49797e72994','aba');
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
INSERT INTO "marks" VALUES('a23a38b22400f612','ABA',1767168000014,6);
INSERT INTO "marks" VALUES('e4a49f61d0d63bee','BBA',1767168000014,6);
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
INSERT INTO "mouillette_schema" VALUES('0006_formulas');
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
INSERT INTO "personal_texts" VALUES('1fc57992bde0628b4733390ae8554f6964d21f2a49277f8595d7e9bed5eb5224','session','person-1','c7701b4f8fe6882ca327e1fe26646c36','greener than I thought');
INSERT INTO "personal_texts" VALUES('2d9a0d85443e04d5c5d6c611f24d0c8f278cd768c9737b0e70988a8aa1356039','session','person-2','6cb30099078dc2d6a191ba13b0d584cb','fell on the floor');
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
INSERT INTO "records" VALUES('session',1,1767168000003,'seal','{"value":{"ballots":[{"id":"b3ae1acf66ace232","panelist_id":"person-1","seat":1},{"id":"4705757d7d8c90e9","panelist_id":"person-2","seat":2},{"id":"3ed7503826974435","panelist_id":"person-3","seat":3},{"id":"bcb40490a2b122ae","panelist_id":null,"seat":4}],"commitment":"5cea9e12cad634405245cb4fa796bca3389bad460296187bd7f472ceed7983ec","hash":"7d2924a0862710910159e8e2a9e0d1160066d51b1e9dd1fc6295a1ab83d89f2d","plan":{"ages":[{"seconds":300,"tolerance_seconds":30},{"seconds":3600,"tolerance_seconds":360}],"alpha":"0.05","asks_liking":false,"asks_nearer":true,"asks_strength":true,"beta":"0.05","brief_id":"brief","confirmed":[],"descriptor":"","descriptor_order":"fixed","descriptors":[],"expected":"","expected_order":[],"first_trial_id":"trial-7","left_out":["wrong strip","ruined strip","unblinded"],"look_every":0,"medium":"strip","method":"triangle","null_sets":0,"other_trial_ids":[],"pairs_each":0,"pd":"0.3","plain_difference":false,"primary":300,"prior":"flat","replicates":1,"resmell":false,"seats":[{"number":1,"panelist_id":"person-1"},{"number":2,"panelist_id":"person-2"},{"number":3,"panelist_id":"person-3"},{"number":4,"panelist_id":null}],"second_trial_id":"trial-8","skin_ages":[],"solo":false,"ties_allowed":true,"ties_rule":"drop","title":"Trial 7 against trial 8","warm_up":false,"zone":"UTC"},"servings":[{"age_seconds":300,"codes":["513","516","862"],"dips":[],"id":"ba62b9fc40d82a70","medium":"strip","place":1,"replicate":1,"seat":1,"sites":[],"spare":false,"void":false},{"age_seconds":3600,"codes":["702","438","378"],"dips":[],"id":"2be605f37829841d","medium":"strip","place":2,"replicate":1,"seat":1,"sites":[],"spare":false,"void":false},{"age_seconds":0,"codes":["263","716","562"],"dips":[],"id":"306cece152ea4426","medium":"strip","place":3,"replicate":0,"seat":1,"sites":[],"spare":true,"void":false},{"age_seconds":300,"codes":["742","461","154"],"dips":[],"id":"c79d2003ccb71ef6","medium":"strip","place":1,"replicate":1,"seat":2,"sites":[],"spare":false,"void":false},{"age_seconds":3600,"codes":["705","359","160"],"dips":[],"id":"81d94fc23aa6c154","medium":"strip","place":2,"replicate":1,"seat":2,"sites":[],"spare":false,"void":false},{"age_seconds":0,"codes":["594","813","649"],"dips":[],"id":"789554e2331f42fa","medium":"strip","place":3,"replicate":0,"seat":2,"sites":[],"spare":true,"void":false},{"age_seconds":300,"codes":["395","945","260"],"dips":[],"id":"4fb864ee09e2ecd1","medium":"strip","place":1,"replicate":1,"seat":3,"sites":[],"spare":false,"void":false},{"age_seconds":3600,"codes":["867","941","298"],"dips":[],"id":"67d88e60be72683c","medium":"strip","place":2,"replicate":1,"seat":3,"sites":[],"spare":false,"void":false},{"age_seconds":0,"codes":["864","968","691"],"dips":[],"id":"7c2a6fa6260bc951","medium":"strip","place":3,"replicate":0,"seat":3,"sites":[],"spare":true,"void":false},{"age_seconds":300,"codes":["850","721","812"],"dips":[],"id":"7ae1e039c4da4a48","medium":"strip","place":1,"replicate":1,"seat":4,"sites":[],"spare":false,"void":false},{"age_seconds":3600,"codes":["236","730","203"],"dips":[],"id":"adf864c0273068e0","medium":"strip","place":2,"replicate":1,"seat":4,"sites":[],"spare":false,"void":false},{"age_seconds":0,"codes":["197","832","690"],"dips":[],"id":"13f8ba73efbe04a6","medium":"strip","place":3,"replicate":0,"seat":4,"sites":[],"spare":true,"void":false}]},"version":1}','5e9393fbd830d3dbd3d2448b88de36a0ee6aaf210359689501d49b895c0448c2');
INSERT INTO "records" VALUES('session',2,1767168000004,'start','{"value":{},"version":1}','183f0b30e153d1cca1425a0a3dbb894dc54b47fca6160ab3cb2444db5372dd13');
INSERT INTO "records" VALUES('session',3,1767168000005,'answer','{"value":{"at":5000,"ballot_id":"b3ae1acf66ace232","question":"choice","serving_id":"ba62b9fc40d82a70","value":"513"},"version":1}','3a39e56ed3e8fa2dc56b2dc407ac66f1fc51994b0f275a5405cf9ba856c858e5');
INSERT INTO "records" VALUES('session',4,1767168000006,'answer','{"value":{"at":5000,"ballot_id":"b3ae1acf66ace232","question":"remark","remark":{"digest":"1fc57992bde0628b4733390ae8554f6964d21f2a49277f8595d7e9bed5eb5224"},"serving_id":"ba62b9fc40d82a70"},"version":1}','93c37f2768fb1785930938f7d03a2604aec1eddead84efe7c168b86a82f5d61a');
INSERT INTO "records" VALUES('session',5,1767168000007,'void serving','{"value":{"reason":{"digest":"2d9a0d85443e04d5c5d6c611f24d0c8f278cd768c9737b0e70988a8aa1356039"},"seat":2,"serving_id":"c79d2003ccb71ef6","spare_id":"789554e2331f42fa"},"version":1}','5ddc212026b9170b2fcefb07b7a18b1912542a9d422bdf8c9c433cc6cf0a636c');
INSERT INTO "records" VALUES('alone',1,1767168000009,'seal','{"value":{"ballots":[{"id":"f498544222a8c600","panelist_id":"person-1","seat":1}],"commitment":"d173f764284ed7f9963781eda5da05ad477a51f6462b38ab68cea57d0031c15a","hash":"26aaaec58b1ab1638dc15a3ea6554916427fb04864fb8b374b66c90dc035bf3f","plan":{"ages":[{"seconds":300,"tolerance_seconds":30}],"alpha":"0.05","asks_liking":false,"asks_nearer":true,"asks_strength":true,"beta":"0.05","brief_id":"brief","confirmed":[],"descriptor":"","descriptor_order":"fixed","descriptors":[],"expected":"","expected_order":[],"first_trial_id":"trial-7","left_out":["wrong strip","ruined strip","unblinded"],"look_every":0,"medium":"strip","method":"triangle","null_sets":0,"other_trial_ids":[],"pairs_each":0,"pd":"0.3","plain_difference":false,"primary":300,"prior":"flat","replicates":2,"resmell":false,"seats":[{"number":1,"panelist_id":"person-1"}],"second_trial_id":"trial-8","skin_ages":[],"solo":true,"ties_allowed":true,"ties_rule":"drop","title":"Trial 7 against trial 8","warm_up":false,"zone":"UTC"},"servings":[{"age_seconds":300,"codes":["513","516","862"],"dips":[],"id":"a23a38b22400f612","medium":"strip","place":1,"replicate":1,"seat":1,"sites":[],"spare":false,"void":false},{"age_seconds":300,"codes":["702","438","378"],"dips":[],"id":"e4a49f61d0d63bee","medium":"strip","place":2,"replicate":2,"seat":1,"sites":[],"spare":false,"void":false},{"age_seconds":0,"codes":["263","716","562"],"dips":[],"id":"9edb8d3ee00eaa3f","medium":"strip","place":3,"replicate":0,"seat":1,"sites":[],"spare":true,"void":false},{"age_seconds":0,"codes":["742","461","154"],"dips":[],"id":"2fffc84323ae952d","medium":"strip","place":4,"replicate":0,"seat":1,"sites":[],"spare":true,"void":false},{"age_seconds":0,"codes":["705","359","160"],"dips":[],"id":"f4fd327dbdee300e","medium":"strip","place":5,"replicate":0,"seat":1,"sites":[],"spare":true,"void":false},{"age_seconds":0,"codes":["594","813","649"],"dips":[],"id":"a81e9f8292274ce2","medium":"strip","place":6,"replicate":0,"seat":1,"sites":[],"spare":true,"void":false}]},"version":1}','fd9c117cb2f7b1a3b3e0d5e8cbaaab1de1d86c3ac5b869012f40af2247635b57');
INSERT INTO "records" VALUES('alone',2,1767168000010,'start','{"value":{},"version":1}','5384174e5712b0a998ec0bf3c45827972cc1c1ca1bbd901eda6fa10f3227846e');
INSERT INTO "records" VALUES('alone',3,1767168000011,'answer','{"value":{"at":5000,"ballot_id":"f498544222a8c600","question":"choice","serving_id":"a23a38b22400f612","value":"513"},"version":1}','3456351c031e938ec13fe671ae9f83c7100a01251a7e8a6e92001ce93082e0af');
INSERT INTO "records" VALUES('alone',4,1767168000012,'answer','{"value":{"at":5000,"ballot_id":"f498544222a8c600","question":"choice","serving_id":"e4a49f61d0d63bee","value":"702"},"version":1}','91fc18267559cebad914537b68233777925eee6463d429b0c48f39de2fec9982');
INSERT INTO "records" VALUES('alone',5,1767168000013,'close','{"value":{},"version":1}','c739c8108aa713bd612f74fb0cbb4410ea2eb6647b8ca00df0da2e6fe3ff899f');
INSERT INTO "records" VALUES('alone',6,1767168000014,'marks','{"value":{"orders":{"a23a38b22400f612":"ABA","e4a49f61d0d63bee":"BBA"}},"version":1}','7077d97c7dd33ed0436ebc510b965694686defd86ff8aa7cd1aceb39af3b92e7');
INSERT INTO "records" VALUES('with null sets',1,1767168000016,'seal','{"value":{"ballots":[{"id":"3aefa84b2f092027","panelist_id":"person-1","seat":1},{"id":"30109662fc2ad293","panelist_id":"person-2","seat":2},{"id":"52dd0d8057aeea7f","panelist_id":"person-3","seat":3},{"id":"fc844ad77f2dc67b","panelist_id":null,"seat":4}],"commitment":"60cad7aac4b6c9698a91bc375c8db9b4279f1f9f87a3ae9cc8883e5315c1e9b5","hash":"0f64f1c18f712fea6836bd5d863696d8cf99c367b399aae233004d3657a7bcfe","plan":{"ages":[{"seconds":300,"tolerance_seconds":30}],"alpha":"0.05","asks_liking":false,"asks_nearer":true,"asks_strength":true,"beta":"0.05","brief_id":"brief","confirmed":[],"descriptor":"","descriptor_order":"fixed","descriptors":[],"draw":"independent","expected":"","expected_order":[],"first_trial_id":"trial-7","left_out":["wrong strip","ruined strip","unblinded"],"look_every":0,"medium":"strip","method":"triangle","null_sets":1,"other_trial_ids":[],"pairs_each":0,"pd":"0.3","plain_difference":false,"primary":300,"prior":"flat","replicates":1,"resmell":false,"seats":[{"number":1,"panelist_id":"person-1"},{"number":2,"panelist_id":"person-2"},{"number":3,"panelist_id":"person-3"},{"number":4,"panelist_id":null}],"second_trial_id":"trial-8","skin_ages":[],"solo":false,"ties_allowed":true,"ties_rule":"drop","title":"Trial 7 against trial 8","warm_up":false,"zone":"UTC"},"servings":[{"age_seconds":300,"codes":["513","516","862"],"dips":[2,0,1],"id":"3e54d51002f9f2f7","medium":"strip","place":1,"replicate":1,"seat":1,"sites":[],"spare":false,"void":false},{"age_seconds":300,"codes":["702","438","378"],"dips":[2,1,0],"id":"7909da1c697cdcbe","medium":"strip","place":2,"replicate":2,"seat":1,"sites":[],"spare":false,"void":false},{"age_seconds":0,"codes":["263","716","562"],"dips":[1,2,0],"id":"4ebdc2ed30b2d1d7","medium":"strip","place":3,"replicate":0,"seat":1,"sites":[],"spare":true,"void":false},{"age_seconds":300,"codes":["742","461","154"],"dips":[1,2,0],"id":"59ea758da57dd4dc","medium":"strip","place":1,"replicate":1,"seat":2,"sites":[],"spare":false,"void":false},{"age_seconds":300,"codes":["705","359","160"],"dips":[2,0,1],"id":"ab0ae6a0b969ff1c","medium":"strip","place":2,"replicate":2,"seat":2,"sites":[],"spare":false,"void":false},{"age_seconds":0,"codes":["594","813","649"],"dips":[2,1,0],"id":"2dff74c10fd6aa5a","medium":"strip","place":3,"replicate":0,"seat":2,"sites":[],"spare":true,"void":false},{"age_seconds":300,"codes":["395","945","260"],"dips":[2,1,0],"id":"c931af00e1f0c376","medium":"strip","place":1,"replicate":1,"seat":3,"sites":[],"spare":false,"void":false},{"age_seconds":300,"codes":["867","941","298"],"dips":[2,0,1],"id":"c891a13be878d4d5","medium":"strip","place":2,"replicate":2,"seat":3,"sites":[],"spare":false,"void":false},{"age_seconds":0,"codes":["864","968","691"],"dips":[0,1,2],"id":"478a522283df0d39","medium":"strip","place":3,"replicate":0,"seat":3,"sites":[],"spare":true,"void":false},{"age_seconds":300,"codes":["850","721","812"],"dips":[1,0,2],"id":"566be1b5a248aad9","medium":"strip","place":1,"replicate":1,"seat":4,"sites":[],"spare":false,"void":false},{"age_seconds":300,"codes":["236","730","203"],"dips":[1,0,2],"id":"173bd56f4a67257d","medium":"strip","place":2,"replicate":2,"seat":4,"sites":[],"spare":false,"void":false},{"age_seconds":0,"codes":["197","832","690"],"dips":[1,2,0],"id":"d137f49797e72994","medium":"strip","place":3,"replicate":0,"seat":4,"sites":[],"spare":true,"void":false}]},"version":1}','a9578289f782bade79687ba64230793593f3aee89328df8ba0fa53b0b4544aca');
INSERT INTO "records" VALUES('session',6,1767168000020,'stop','{"value":{"ballot_id":"4705757d7d8c90e9","kind":"unwell"},"version":1}','8cbcbb7c6a8462717cb074b9d0ed8c56e56e383124c47d6fcbcf5eee24369c5f');
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
INSERT INTO "servings" VALUES('ba62b9fc40d82a70','session',0,1,1,300,1,'513 516 862',0,0,'strip','','');
INSERT INTO "servings" VALUES('2be605f37829841d','session',1,1,2,3600,1,'702 438 378',0,0,'strip','','');
INSERT INTO "servings" VALUES('306cece152ea4426','session',2,1,3,0,0,'263 716 562',1,0,'strip','','');
INSERT INTO "servings" VALUES('c79d2003ccb71ef6','session',3,2,1,300,1,'742 461 154',0,1,'strip','','');
INSERT INTO "servings" VALUES('81d94fc23aa6c154','session',4,2,2,3600,1,'705 359 160',0,0,'strip','','');
INSERT INTO "servings" VALUES('789554e2331f42fa','session',5,2,1,300,1,'594 813 649',0,0,'strip','','');
INSERT INTO "servings" VALUES('4fb864ee09e2ecd1','session',6,3,1,300,1,'395 945 260',0,0,'strip','','');
INSERT INTO "servings" VALUES('67d88e60be72683c','session',7,3,2,3600,1,'867 941 298',0,0,'strip','','');
INSERT INTO "servings" VALUES('7c2a6fa6260bc951','session',8,3,3,0,0,'864 968 691',1,0,'strip','','');
INSERT INTO "servings" VALUES('7ae1e039c4da4a48','session',9,4,1,300,1,'850 721 812',0,0,'strip','','');
INSERT INTO "servings" VALUES('adf864c0273068e0','session',10,4,2,3600,1,'236 730 203',0,0,'strip','','');
INSERT INTO "servings" VALUES('13f8ba73efbe04a6','session',11,4,3,0,0,'197 832 690',1,0,'strip','','');
INSERT INTO "servings" VALUES('a23a38b22400f612','alone',0,1,1,300,1,'513 516 862',0,0,'strip','','');
INSERT INTO "servings" VALUES('e4a49f61d0d63bee','alone',1,1,2,300,2,'702 438 378',0,0,'strip','','');
INSERT INTO "servings" VALUES('9edb8d3ee00eaa3f','alone',2,1,3,0,0,'263 716 562',1,0,'strip','','');
INSERT INTO "servings" VALUES('2fffc84323ae952d','alone',3,1,4,0,0,'742 461 154',1,0,'strip','','');
INSERT INTO "servings" VALUES('f4fd327dbdee300e','alone',4,1,5,0,0,'705 359 160',1,0,'strip','','');
INSERT INTO "servings" VALUES('a81e9f8292274ce2','alone',5,1,6,0,0,'594 813 649',1,0,'strip','','');
INSERT INTO "servings" VALUES('3e54d51002f9f2f7','with null sets',0,1,1,300,1,'513 516 862',0,0,'strip','','2 0 1');
INSERT INTO "servings" VALUES('7909da1c697cdcbe','with null sets',1,1,2,300,2,'702 438 378',0,0,'strip','','2 1 0');
INSERT INTO "servings" VALUES('4ebdc2ed30b2d1d7','with null sets',2,1,3,0,0,'263 716 562',1,0,'strip','','1 2 0');
INSERT INTO "servings" VALUES('59ea758da57dd4dc','with null sets',3,2,1,300,1,'742 461 154',0,0,'strip','','1 2 0');
INSERT INTO "servings" VALUES('ab0ae6a0b969ff1c','with null sets',4,2,2,300,2,'705 359 160',0,0,'strip','','2 0 1');
INSERT INTO "servings" VALUES('2dff74c10fd6aa5a','with null sets',5,2,3,0,0,'594 813 649',1,0,'strip','','2 1 0');
INSERT INTO "servings" VALUES('c931af00e1f0c376','with null sets',6,3,1,300,1,'395 945 260',0,0,'strip','','2 1 0');
INSERT INTO "servings" VALUES('c891a13be878d4d5','with null sets',7,3,2,300,2,'867 941 298',0,0,'strip','','2 0 1');
INSERT INTO "servings" VALUES('478a522283df0d39','with null sets',8,3,3,0,0,'864 968 691',1,0,'strip','','0 1 2');
INSERT INTO "servings" VALUES('566be1b5a248aad9','with null sets',9,4,1,300,1,'850 721 812',0,0,'strip','','1 0 2');
INSERT INTO "servings" VALUES('173bd56f4a67257d','with null sets',10,4,2,300,2,'236 730 203',0,0,'strip','','1 0 2');
INSERT INTO "servings" VALUES('d137f49797e72994','with null sets',11,4,3,0,0,'197 832 690',1,0,'strip','','1 2 0');
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
INSERT INTO "sessions" VALUES('session','brief','trial-7','trial-8','{"value":{"ages":[{"seconds":300,"tolerance_seconds":30},{"seconds":3600,"tolerance_seconds":360}],"alpha":"0.05","asks_liking":false,"asks_nearer":true,"asks_strength":true,"beta":"0.05","brief_id":"brief","confirmed":[],"descriptor":"","descriptor_order":"fixed","descriptors":[],"expected":"","expected_order":[],"first_trial_id":"trial-7","left_out":["wrong strip","ruined strip","unblinded"],"look_every":0,"medium":"strip","method":"triangle","null_sets":0,"other_trial_ids":[],"pairs_each":0,"pd":"0.3","plain_difference":false,"primary":300,"prior":"flat","replicates":1,"resmell":false,"seats":[{"number":1,"panelist_id":"person-1"},{"number":2,"panelist_id":"person-2"},{"number":3,"panelist_id":"person-3"},{"number":4,"panelist_id":null}],"second_trial_id":"trial-8","skin_ages":[],"solo":false,"ties_allowed":true,"ties_rule":"drop","title":"Trial 7 against trial 8","warm_up":false,"zone":"UTC"},"version":1}','smelling',2000,1767168000002,'7d2924a0862710910159e8e2a9e0d1160066d51b1e9dd1fc6295a1ab83d89f2d','5cea9e12cad634405245cb4fa796bca3389bad460296187bd7f472ceed7983ec');
INSERT INTO "sessions" VALUES('alone','brief','trial-7','trial-8','{"value":{"ages":[{"seconds":300,"tolerance_seconds":30}],"alpha":"0.05","asks_liking":false,"asks_nearer":true,"asks_strength":true,"beta":"0.05","brief_id":"brief","confirmed":[],"descriptor":"","descriptor_order":"fixed","descriptors":[],"expected":"","expected_order":[],"first_trial_id":"trial-7","left_out":["wrong strip","ruined strip","unblinded"],"look_every":0,"medium":"strip","method":"triangle","null_sets":0,"other_trial_ids":[],"pairs_each":0,"pd":"0.3","plain_difference":false,"primary":300,"prior":"flat","replicates":2,"resmell":false,"seats":[{"number":1,"panelist_id":"person-1"}],"second_trial_id":"trial-8","skin_ages":[],"solo":true,"ties_allowed":true,"ties_rule":"drop","title":"Trial 7 against trial 8","warm_up":false,"zone":"UTC"},"version":1}','closed',2000,1767168000008,'26aaaec58b1ab1638dc15a3ea6554916427fb04864fb8b374b66c90dc035bf3f','d173f764284ed7f9963781eda5da05ad477a51f6462b38ab68cea57d0031c15a');
INSERT INTO "sessions" VALUES('with null sets','brief','trial-7','trial-8','{"value":{"ages":[{"seconds":300,"tolerance_seconds":30}],"alpha":"0.05","asks_liking":false,"asks_nearer":true,"asks_strength":true,"beta":"0.05","brief_id":"brief","confirmed":[],"descriptor":"","descriptor_order":"fixed","descriptors":[],"draw":"independent","expected":"","expected_order":[],"first_trial_id":"trial-7","left_out":["wrong strip","ruined strip","unblinded"],"look_every":0,"medium":"strip","method":"triangle","null_sets":1,"other_trial_ids":[],"pairs_each":0,"pd":"0.3","plain_difference":false,"primary":300,"prior":"flat","replicates":1,"resmell":false,"seats":[{"number":1,"panelist_id":"person-1"},{"number":2,"panelist_id":"person-2"},{"number":3,"panelist_id":"person-3"},{"number":4,"panelist_id":null}],"second_trial_id":"trial-8","skin_ages":[],"solo":false,"ties_allowed":true,"ties_rule":"drop","title":"Trial 7 against trial 8","warm_up":false,"zone":"UTC"},"version":1}','sealed',2000,1767168000015,'0f64f1c18f712fea6836bd5d863696d8cf99c367b399aae233004d3657a7bcfe','60cad7aac4b6c9698a91bc375c8db9b4279f1f9f87a3ae9cc8883e5315c1e9b5');
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
INSERT INTO "stops" VALUES(1,'session','4705757d7d8c90e9','unwell',1767168000020,6);
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
