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
INSERT INTO "answers" VALUES(1,'session','e12ebeb83e90aef4','d4e361a1e458e73e','d4e361a1e458e73e','choice','513',NULL,5000,1,3);
INSERT INTO "answers" VALUES(2,'session','e12ebeb83e90aef4','d4e361a1e458e73e','d4e361a1e458e73e','remark','','1ab3952904abb88bdbff206e934d8f52d1d9fad1d9ad1ac4fd5a6d8267f0d2f3',5000,1,4);
INSERT INTO "answers" VALUES(3,'alone','e1f3d825e4f8ba6d','3273be20dcd067fd','3273be20dcd067fd','choice','513',NULL,5000,1,3);
INSERT INTO "answers" VALUES(4,'alone','e1f3d825e4f8ba6d','8b76f718a6aefcd4','8b76f718a6aefcd4','choice','702',NULL,5000,1,4);
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
INSERT INTO "ballots" VALUES('e12ebeb83e90aef4','session',1,'person-1',1,NULL,NULL);
INSERT INTO "ballots" VALUES('c87241177f3c9e9b','session',2,'person-2',1,NULL,NULL);
INSERT INTO "ballots" VALUES('ff697f09919e41ba','session',3,'person-3',1,NULL,NULL);
INSERT INTO "ballots" VALUES('19dca3f2e5384896','session',4,NULL,1,NULL,NULL);
INSERT INTO "ballots" VALUES('e1f3d825e4f8ba6d','alone',1,'person-1',1,NULL,NULL);
INSERT INTO "ballots" VALUES('46dfc23ca427b2f8','with null sets',1,'person-1',1,NULL,NULL);
INSERT INTO "ballots" VALUES('2672126b88ba7556','with null sets',2,'person-2',1,NULL,NULL);
INSERT INTO "ballots" VALUES('9df3a90be8896a69','with null sets',3,'person-3',1,NULL,NULL);
INSERT INTO "ballots" VALUES('c7c32295ad1b4e38','with null sets',4,NULL,1,NULL,NULL);
INSERT INTO "ballots" VALUES('f0255ce890a9a8b8','of a series',1,'person-1',1,NULL,NULL);
INSERT INTO "ballots" VALUES('166eeae7f5284e68','of a series',2,'person-2',1,NULL,NULL);
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
INSERT INTO "formulas" VALUES('trial-7','100',1767168000024);
INSERT INTO "formulas" VALUES('trial-8','',1767168000025);
CREATE TABLE groupings (
	serving_id TEXT NOT NULL, 
	pattern TEXT NOT NULL, 
	CONSTRAINT pk_groupings PRIMARY KEY (serving_id), 
	CONSTRAINT fk_groupings_serving_id FOREIGN KEY(serving_id) REFERENCES servings (id)
);
INSERT INTO "groupings" VALUES('d4e361a1e458e73e','YYX');
INSERT INTO "groupings" VALUES('41435a5e6c02b797','YXY');
INSERT INTO "groupings" VALUES('8f0ef6605d718803','YXX');
INSERT INTO "groupings" VALUES('40f757183510d340','XYX');
INSERT INTO "groupings" VALUES('6cb9152c8190feb5','XXY');
INSERT INTO "groupings" VALUES('d6b4e93247bd557e','YXY');
INSERT INTO "groupings" VALUES('29a5b4b8032f34b5','YYX');
INSERT INTO "groupings" VALUES('2e2221ac9e69eb73','YXY');
INSERT INTO "groupings" VALUES('5533b2c973e950ab','XXY');
INSERT INTO "groupings" VALUES('541e0354fdfa96f8','YXX');
INSERT INTO "groupings" VALUES('97f0e0d221302de4','XYX');
INSERT INTO "groupings" VALUES('a4fe2a6b9f8c82df','YXY');
INSERT INTO "groupings" VALUES('3273be20dcd067fd','');
INSERT INTO "groupings" VALUES('8b76f718a6aefcd4','');
INSERT INTO "groupings" VALUES('6dae4d6cf58e4205','');
INSERT INTO "groupings" VALUES('f3d56c089ade91e6','');
INSERT INTO "groupings" VALUES('4f38a432cd3446cd','');
INSERT INTO "groupings" VALUES('8ece1d0ce4f14af1','');
INSERT INTO "groupings" VALUES('654b6ec33f8e1878','XaX');
INSERT INTO "groupings" VALUES('369ba5958bcd2692','bXX');
INSERT INTO "groupings" VALUES('0d803758693371f4','Yaa');
INSERT INTO "groupings" VALUES('208841ed38d00356','aab');
INSERT INTO "groupings" VALUES('f876ebd5a178ed1d','YaY');
INSERT INTO "groupings" VALUES('c5b51f0848e6c429','baa');
INSERT INTO "groupings" VALUES('87ba1fe5da519308','YbY');
INSERT INTO "groupings" VALUES('d9692b964964829a','Yaa');
INSERT INTO "groupings" VALUES('9243c33c8a3cb73f','Xaa');
INSERT INTO "groupings" VALUES('e6dc6892a589df01','bbX');
INSERT INTO "groupings" VALUES('1aa4b732379f28cb','bbY');
INSERT INTO "groupings" VALUES('bf686e9881f7492b','aba');
INSERT INTO "groupings" VALUES('ab856c4895e215ad','XYX');
INSERT INTO "groupings" VALUES('16abdb0a99e0bcaf','YXX');
INSERT INTO "groupings" VALUES('de64f0c3189af08c','XYY');
INSERT INTO "groupings" VALUES('3b2cbdb837d82235','YYX');
CREATE TABLE heads (
	session_id TEXT NOT NULL, 
	sequence INTEGER NOT NULL, 
	hash TEXT NOT NULL, 
	CONSTRAINT pk_heads PRIMARY KEY (session_id), 
	CONSTRAINT fk_heads_session_id FOREIGN KEY(session_id) REFERENCES sessions (id)
);
INSERT INTO "heads" VALUES('session',6,'79bcdaae42d723761c8e83eb2d4276040e64bdcef786920c00166635ee367d73');
INSERT INTO "heads" VALUES('alone',6,'3a4e1b0ce17e9318011d51b30ab171cbbbab506366dc006678c186573d731721');
INSERT INTO "heads" VALUES('with null sets',1,'3d0061d7f4c6ba926aa84ba8e7364322244a77848d266dc2eef790edc8da7b1b');
INSERT INTO "heads" VALUES('of a series',1,'fc752166f6bda2d21365f857cf1ccab2b899f01e2dae32dba0ef78117b88a2a3');
CREATE TABLE key_orders (
	serving_id TEXT NOT NULL, 
	trials TEXT NOT NULL, 
	CONSTRAINT pk_key_orders PRIMARY KEY (serving_id), 
	CONSTRAINT fk_key_orders_serving_id FOREIGN KEY(serving_id) REFERENCES servings (id)
);
INSERT INTO "key_orders" VALUES('d4e361a1e458e73e','BBA');
INSERT INTO "key_orders" VALUES('41435a5e6c02b797','BAB');
INSERT INTO "key_orders" VALUES('8f0ef6605d718803','BAA');
INSERT INTO "key_orders" VALUES('40f757183510d340','BAB');
INSERT INTO "key_orders" VALUES('6cb9152c8190feb5','BBA');
INSERT INTO "key_orders" VALUES('d6b4e93247bd557e','ABA');
INSERT INTO "key_orders" VALUES('29a5b4b8032f34b5','AAB');
INSERT INTO "key_orders" VALUES('2e2221ac9e69eb73','ABA');
INSERT INTO "key_orders" VALUES('5533b2c973e950ab','BBA');
INSERT INTO "key_orders" VALUES('541e0354fdfa96f8','BAA');
INSERT INTO "key_orders" VALUES('97f0e0d221302de4','ABA');
INSERT INTO "key_orders" VALUES('a4fe2a6b9f8c82df','BAB');
INSERT INTO "key_orders" VALUES('3273be20dcd067fd','');
INSERT INTO "key_orders" VALUES('8b76f718a6aefcd4','');
INSERT INTO "key_orders" VALUES('6dae4d6cf58e4205','');
INSERT INTO "key_orders" VALUES('f3d56c089ade91e6','');
INSERT INTO "key_orders" VALUES('4f38a432cd3446cd','');
INSERT INTO "key_orders" VALUES('8ece1d0ce4f14af1','');
INSERT INTO "key_orders" VALUES('654b6ec33f8e1878','AaA');
INSERT INTO "key_orders" VALUES('369ba5958bcd2692','bAA');
INSERT INTO "key_orders" VALUES('0d803758693371f4','Baa');
INSERT INTO "key_orders" VALUES('208841ed38d00356','aab');
INSERT INTO "key_orders" VALUES('f876ebd5a178ed1d','AaA');
INSERT INTO "key_orders" VALUES('c5b51f0848e6c429','baa');
INSERT INTO "key_orders" VALUES('87ba1fe5da519308','AbA');
INSERT INTO "key_orders" VALUES('d9692b964964829a','Aaa');
INSERT INTO "key_orders" VALUES('9243c33c8a3cb73f','Baa');
INSERT INTO "key_orders" VALUES('e6dc6892a589df01','bbA');
INSERT INTO "key_orders" VALUES('1aa4b732379f28cb','bbB');
INSERT INTO "key_orders" VALUES('bf686e9881f7492b','aba');
INSERT INTO "key_orders" VALUES('ab856c4895e215ad','ABA');
INSERT INTO "key_orders" VALUES('16abdb0a99e0bcaf','BAA');
INSERT INTO "key_orders" VALUES('de64f0c3189af08c','BAA');
INSERT INTO "key_orders" VALUES('3b2cbdb837d82235','AAB');
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
INSERT INTO "keys" VALUES('of a series','000102030405060708090a0b0c0d0e0f101112131415161718191a1b1c1d1e1f','L','C',NULL,NULL,NULL);
CREATE TABLE marks (
	serving_id TEXT NOT NULL, 
	trials TEXT NOT NULL, 
	at BIGINT NOT NULL, 
	sequence INTEGER NOT NULL, 
	CONSTRAINT pk_marks PRIMARY KEY (serving_id), 
	CONSTRAINT fk_marks_serving_id FOREIGN KEY(serving_id) REFERENCES servings (id)
);
INSERT INTO "marks" VALUES('3273be20dcd067fd','ABA',1767168000020,6);
INSERT INTO "marks" VALUES('8b76f718a6aefcd4','BBA',1767168000020,6);
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
INSERT INTO "mouillette_schema" VALUES('0008_series');
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
	CONSTRAINT fk_patches_trial_id FOREIGN KEY(trial_id) REFERENCES trials (id), 
	CONSTRAINT fk_patches_panelist_id FOREIGN KEY(panelist_id) REFERENCES panelists (id), 
	CONSTRAINT fk_patches_bottle_id FOREIGN KEY(bottle_id) REFERENCES bottles (id)
);
INSERT INTO "patches" VALUES('p1','person-1','trial-7','481','left upper arm, inner side','10',1767168000023,'{"value":{"lines":[{"material_id":"m1","share_percent":"100","stock_percent":"100"}]},"version":1}','trial-7');
INSERT INTO "patches" VALUES('p2','person-1','trial-7','482','right upper arm, inner side','10',1767168000023,'{"value":{"lines":[{"material_id":"m1","share_percent":"100","stock_percent":"100"}]},"version":1}','trial-7');
INSERT INTO "patches" VALUES('p3','person-1','trial-7','483','left upper arm, outer side','10',1767168000023,'{"value":{"lines":[{"material_id":"m1","share_percent":"100","stock_percent":"100"}]},"version":1}','trial-7');
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
INSERT INTO "personal_texts" VALUES('083f0d39d376a13ba219850d9852630d464dea37d828866a7ec820026860dd6b','session',NULL,'2f56850e5f7325826290e8ff76650321','A dry garden');
INSERT INTO "personal_texts" VALUES('3298f094139762696007a302660437b6a972a7edd2a6d92eae55731453e75bca','session',NULL,'8202c4d545f23649ed855a7146b90daa','7');
INSERT INTO "personal_texts" VALUES('109e15bca6ae7757214b8f10eff1e48bb1cf3e5bf68d9b9cc4a8a55423661912','session',NULL,'37fda59c0cf274375a3d16a675b8cec0','8');
INSERT INTO "personal_texts" VALUES('1ab3952904abb88bdbff206e934d8f52d1d9fad1d9ad1ac4fd5a6d8267f0d2f3','session','person-1','2d4e77857ecc4828c75df7ec5d4eda0e','greener than I thought');
INSERT INTO "personal_texts" VALUES('226962d5622d22cbf24f5084555661846d2e5061ef3cc9c1d498b4ef8dd2368a','session','person-2','91d920dcf5b61932c5c1d686d45bd7d7','fell on the floor');
INSERT INTO "personal_texts" VALUES('58f0078d33f8b33dbf644e7e22b8b527037dbe11ba9106267079d98fc172a1b1','alone',NULL,'345e6b3ab93c97a21ecc5a26a42e90fa','A dry garden');
INSERT INTO "personal_texts" VALUES('cf84cb0e967b6e58bee582178716978999911eabb98d46d7c667f3b25e05e478','alone',NULL,'46191bfb53fb9973308e82e26f99a2fb','7');
INSERT INTO "personal_texts" VALUES('e01701aadef14792117faa57c5f69df41f6c09c81843b9ca26a9381ae60b30a3','alone',NULL,'ac7e65f887e63c7aecab2f83802c528b','8');
INSERT INTO "personal_texts" VALUES('574461053d7758339981cf4c5cce77507e4f549dc40023531ed5d41d8e8efc4b','with null sets',NULL,'2ef13330d574cf12880c22223054a5f2','A dry garden');
INSERT INTO "personal_texts" VALUES('f22e748dfc97ebbf8cd3bcc2bda6c0c5074abb1e4e98baabfea3e8e2b34732c6','with null sets',NULL,'35725ee5dd722a883fc98c9b8f104471','7');
INSERT INTO "personal_texts" VALUES('dad20a6e42dba0edcd38886d7033d301a2ecd32c8c2033b6efd9049b412a0ede','with null sets',NULL,'2e9d200985fec2e11dc8fc57bff250a6','8');
INSERT INTO "personal_texts" VALUES('a3eb9bd732b02a5e3f41e69f859e4ba0b074bbf666085a3e44605787ff11b2f2','of a series',NULL,'469600cac47172ed2c12e76761dd45ef','A dry garden');
INSERT INTO "personal_texts" VALUES('d8f819c31805d6605ab5311061ccb74ee21b4f6a4400df5ec2a7bf4cb08e4e54','of a series',NULL,'3c8f24a43c7baa06c2feabe6caffb5ff','7');
INSERT INTO "personal_texts" VALUES('776a7fc469f3d7f0080818c79ccaf6ca65a80fe1b08c4c84fa59e9d393b2358c','of a series',NULL,'bbaa224c731f0f70e893512d95c55934','8');
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
INSERT INTO "records" VALUES('session',1,1767168000009,'seal','{"value":{"ballots":[{"id":"e12ebeb83e90aef4","panelist_id":"person-1","seat":1},{"id":"c87241177f3c9e9b","panelist_id":"person-2","seat":2},{"id":"ff697f09919e41ba","panelist_id":"person-3","seat":3},{"id":"19dca3f2e5384896","panelist_id":null,"seat":4}],"commitment":"822193dbec9d639dcc573d502f1c770f3fe2535d60c80b1f8ec53211f9e785ee","groupings":"c3b7dc19b956e88ee79b9cfeb6ae484b59da53e8c1f9a2b114af680ac3eaaeed","hash":"7d2924a0862710910159e8e2a9e0d1160066d51b1e9dd1fc6295a1ab83d89f2d","named":{"brief":{"digest":"083f0d39d376a13ba219850d9852630d464dea37d828866a7ec820026860dd6b"},"trial-7":{"digest":"3298f094139762696007a302660437b6a972a7edd2a6d92eae55731453e75bca"},"trial-8":{"digest":"109e15bca6ae7757214b8f10eff1e48bb1cf3e5bf68d9b9cc4a8a55423661912"}},"plan":{"ages":[{"seconds":300,"tolerance_seconds":30},{"seconds":3600,"tolerance_seconds":360}],"alpha":"0.05","asks_liking":false,"asks_nearer":true,"asks_strength":true,"beta":"0.05","brief_id":"brief","confirmed":[],"descriptor":"","descriptor_order":"fixed","descriptors":[],"expected":"","expected_order":[],"first_trial_id":"trial-7","left_out":["wrong strip","ruined strip","unblinded"],"look_every":0,"medium":"strip","method":"triangle","null_sets":0,"other_trial_ids":[],"pairs_each":0,"pd":"0.3","plain_difference":false,"primary":300,"prior":"flat","replicates":1,"resmell":false,"seats":[{"number":1,"panelist_id":"person-1"},{"number":2,"panelist_id":"person-2"},{"number":3,"panelist_id":"person-3"},{"number":4,"panelist_id":null}],"second_trial_id":"trial-8","skin_ages":[],"solo":false,"ties_allowed":true,"ties_rule":"drop","title":"Trial 7 against trial 8","warm_up":false,"zone":"UTC"},"servings":[{"age_seconds":300,"codes":["513","516","862"],"dips":[],"id":"d4e361a1e458e73e","medium":"strip","place":1,"replicate":1,"seat":1,"sites":[],"spare":false,"void":false},{"age_seconds":3600,"codes":["702","438","378"],"dips":[],"id":"41435a5e6c02b797","medium":"strip","place":2,"replicate":1,"seat":1,"sites":[],"spare":false,"void":false},{"age_seconds":0,"codes":["263","716","562"],"dips":[],"id":"8f0ef6605d718803","medium":"strip","place":3,"replicate":0,"seat":1,"sites":[],"spare":true,"void":false},{"age_seconds":300,"codes":["742","461","154"],"dips":[],"id":"40f757183510d340","medium":"strip","place":1,"replicate":1,"seat":2,"sites":[],"spare":false,"void":false},{"age_seconds":3600,"codes":["705","359","160"],"dips":[],"id":"6cb9152c8190feb5","medium":"strip","place":2,"replicate":1,"seat":2,"sites":[],"spare":false,"void":false},{"age_seconds":0,"codes":["594","813","649"],"dips":[],"id":"d6b4e93247bd557e","medium":"strip","place":3,"replicate":0,"seat":2,"sites":[],"spare":true,"void":false},{"age_seconds":300,"codes":["395","945","260"],"dips":[],"id":"29a5b4b8032f34b5","medium":"strip","place":1,"replicate":1,"seat":3,"sites":[],"spare":false,"void":false},{"age_seconds":3600,"codes":["867","941","298"],"dips":[],"id":"2e2221ac9e69eb73","medium":"strip","place":2,"replicate":1,"seat":3,"sites":[],"spare":false,"void":false},{"age_seconds":0,"codes":["864","968","691"],"dips":[],"id":"5533b2c973e950ab","medium":"strip","place":3,"replicate":0,"seat":3,"sites":[],"spare":true,"void":false},{"age_seconds":300,"codes":["850","721","812"],"dips":[],"id":"541e0354fdfa96f8","medium":"strip","place":1,"replicate":1,"seat":4,"sites":[],"spare":false,"void":false},{"age_seconds":3600,"codes":["236","730","203"],"dips":[],"id":"97f0e0d221302de4","medium":"strip","place":2,"replicate":1,"seat":4,"sites":[],"spare":false,"void":false},{"age_seconds":0,"codes":["197","832","690"],"dips":[],"id":"a4fe2a6b9f8c82df","medium":"strip","place":3,"replicate":0,"seat":4,"sites":[],"spare":true,"void":false}]},"version":1}','b36df11466e73ab4055ba5163cac6bd28f49128128c48957387093a0d0969c26');
INSERT INTO "records" VALUES('session',2,1767168000010,'start','{"value":{},"version":1}','883e2cb75fd1d82392ec1370726faa914ad6791412028201a22be5c7b29140f8');
INSERT INTO "records" VALUES('session',3,1767168000011,'answer','{"value":{"at":5000,"ballot_id":"e12ebeb83e90aef4","question":"choice","serving_id":"d4e361a1e458e73e","value":"513"},"version":1}','976a6780698db5690f9525e1dff01b7885823f6425fa3bedbfc92c0ca9f9bb0f');
INSERT INTO "records" VALUES('session',4,1767168000012,'answer','{"value":{"at":5000,"ballot_id":"e12ebeb83e90aef4","question":"remark","remark":{"digest":"1ab3952904abb88bdbff206e934d8f52d1d9fad1d9ad1ac4fd5a6d8267f0d2f3"},"serving_id":"d4e361a1e458e73e"},"version":1}','45432ffe624ca60c45f02ecff68c57befb0a9efe392b480ae3d1e2d6d8806e01');
INSERT INTO "records" VALUES('session',5,1767168000013,'void serving','{"value":{"reason":{"digest":"226962d5622d22cbf24f5084555661846d2e5061ef3cc9c1d498b4ef8dd2368a"},"seat":2,"serving_id":"40f757183510d340","spare_id":"d6b4e93247bd557e"},"version":1}','e4481fc6c69519edfcb5489afef8943fd1678086f6abaf0f169f246b70a04e60');
INSERT INTO "records" VALUES('alone',1,1767168000015,'seal','{"value":{"ballots":[{"id":"e1f3d825e4f8ba6d","panelist_id":"person-1","seat":1}],"commitment":"b506402a472f3fee91c3884e64e60e47cc6adc2725149062d29e3d6c508afe40","groupings":"a8456912b69fa3a37914f5658ebbfd51b48c0490b7434bddead9ca9dfdb0e51b","hash":"26aaaec58b1ab1638dc15a3ea6554916427fb04864fb8b374b66c90dc035bf3f","named":{"brief":{"digest":"58f0078d33f8b33dbf644e7e22b8b527037dbe11ba9106267079d98fc172a1b1"},"trial-7":{"digest":"cf84cb0e967b6e58bee582178716978999911eabb98d46d7c667f3b25e05e478"},"trial-8":{"digest":"e01701aadef14792117faa57c5f69df41f6c09c81843b9ca26a9381ae60b30a3"}},"plan":{"ages":[{"seconds":300,"tolerance_seconds":30}],"alpha":"0.05","asks_liking":false,"asks_nearer":true,"asks_strength":true,"beta":"0.05","brief_id":"brief","confirmed":[],"descriptor":"","descriptor_order":"fixed","descriptors":[],"expected":"","expected_order":[],"first_trial_id":"trial-7","left_out":["wrong strip","ruined strip","unblinded"],"look_every":0,"medium":"strip","method":"triangle","null_sets":0,"other_trial_ids":[],"pairs_each":0,"pd":"0.3","plain_difference":false,"primary":300,"prior":"flat","replicates":2,"resmell":false,"seats":[{"number":1,"panelist_id":"person-1"}],"second_trial_id":"trial-8","skin_ages":[],"solo":true,"ties_allowed":true,"ties_rule":"drop","title":"Trial 7 against trial 8","warm_up":false,"zone":"UTC"},"servings":[{"age_seconds":300,"codes":["513","516","862"],"dips":[],"id":"3273be20dcd067fd","medium":"strip","place":1,"replicate":1,"seat":1,"sites":[],"spare":false,"void":false},{"age_seconds":300,"codes":["702","438","378"],"dips":[],"id":"8b76f718a6aefcd4","medium":"strip","place":2,"replicate":2,"seat":1,"sites":[],"spare":false,"void":false},{"age_seconds":0,"codes":["263","716","562"],"dips":[],"id":"6dae4d6cf58e4205","medium":"strip","place":3,"replicate":0,"seat":1,"sites":[],"spare":true,"void":false},{"age_seconds":0,"codes":["742","461","154"],"dips":[],"id":"f3d56c089ade91e6","medium":"strip","place":4,"replicate":0,"seat":1,"sites":[],"spare":true,"void":false},{"age_seconds":0,"codes":["705","359","160"],"dips":[],"id":"4f38a432cd3446cd","medium":"strip","place":5,"replicate":0,"seat":1,"sites":[],"spare":true,"void":false},{"age_seconds":0,"codes":["594","813","649"],"dips":[],"id":"8ece1d0ce4f14af1","medium":"strip","place":6,"replicate":0,"seat":1,"sites":[],"spare":true,"void":false}]},"version":1}','b0d2a6ded88b938d359a14fdf42dfc492509857b0ab18f81724885e83d391164');
INSERT INTO "records" VALUES('alone',2,1767168000016,'start','{"value":{},"version":1}','815524a77b838d4e8da1656da2fbbe17e558d4e888c7e8f71831a2c8470df3f7');
INSERT INTO "records" VALUES('alone',3,1767168000017,'answer','{"value":{"at":5000,"ballot_id":"e1f3d825e4f8ba6d","question":"choice","serving_id":"3273be20dcd067fd","value":"513"},"version":1}','d45daa70024fc8032d4e2a766f3e6b6ff3d9945af625c2e17256c2252e317d4c');
INSERT INTO "records" VALUES('alone',4,1767168000018,'answer','{"value":{"at":5000,"ballot_id":"e1f3d825e4f8ba6d","question":"choice","serving_id":"8b76f718a6aefcd4","value":"702"},"version":1}','57d6a20cf4a6381036043d51a468b11219a14eb5a0730d168a3e758ea6de179d');
INSERT INTO "records" VALUES('alone',5,1767168000019,'close','{"value":{},"version":1}','7b79329a58e3bc23cb7f7417c3e8f01f358d4ab9bdc0c7c02c6fc3f959594db8');
INSERT INTO "records" VALUES('alone',6,1767168000020,'marks','{"value":{"orders":{"3273be20dcd067fd":"ABA","8b76f718a6aefcd4":"BBA"}},"version":1}','3a4e1b0ce17e9318011d51b30ab171cbbbab506366dc006678c186573d731721');
INSERT INTO "records" VALUES('with null sets',1,1767168000022,'seal','{"value":{"ballots":[{"id":"46dfc23ca427b2f8","panelist_id":"person-1","seat":1},{"id":"2672126b88ba7556","panelist_id":"person-2","seat":2},{"id":"9df3a90be8896a69","panelist_id":"person-3","seat":3},{"id":"c7c32295ad1b4e38","panelist_id":null,"seat":4}],"commitment":"78fd4e0f65a00c48c5223ecf8bb816bea6d274c252ddf0f428f975a1cfd604bd","groupings":"4e7ffda31d89094511236b5072641361ea5ae67a99c6f0a85e50725abf049022","hash":"0f64f1c18f712fea6836bd5d863696d8cf99c367b399aae233004d3657a7bcfe","named":{"brief":{"digest":"574461053d7758339981cf4c5cce77507e4f549dc40023531ed5d41d8e8efc4b"},"trial-7":{"digest":"f22e748dfc97ebbf8cd3bcc2bda6c0c5074abb1e4e98baabfea3e8e2b34732c6"},"trial-8":{"digest":"dad20a6e42dba0edcd38886d7033d301a2ecd32c8c2033b6efd9049b412a0ede"}},"plan":{"ages":[{"seconds":300,"tolerance_seconds":30}],"alpha":"0.05","asks_liking":false,"asks_nearer":true,"asks_strength":true,"beta":"0.05","brief_id":"brief","confirmed":[],"descriptor":"","descriptor_order":"fixed","descriptors":[],"draw":"independent","expected":"","expected_order":[],"first_trial_id":"trial-7","left_out":["wrong strip","ruined strip","unblinded"],"look_every":0,"medium":"strip","method":"triangle","null_sets":1,"other_trial_ids":[],"pairs_each":0,"pd":"0.3","plain_difference":false,"primary":300,"prior":"flat","replicates":1,"resmell":false,"seats":[{"number":1,"panelist_id":"person-1"},{"number":2,"panelist_id":"person-2"},{"number":3,"panelist_id":"person-3"},{"number":4,"panelist_id":null}],"second_trial_id":"trial-8","skin_ages":[],"solo":false,"ties_allowed":true,"ties_rule":"drop","title":"Trial 7 against trial 8","warm_up":false,"zone":"UTC"},"servings":[{"age_seconds":300,"codes":["513","516","862"],"dips":[2,0,1],"id":"654b6ec33f8e1878","medium":"strip","place":1,"replicate":1,"seat":1,"sites":[],"spare":false,"void":false},{"age_seconds":300,"codes":["702","438","378"],"dips":[2,1,0],"id":"369ba5958bcd2692","medium":"strip","place":2,"replicate":2,"seat":1,"sites":[],"spare":false,"void":false},{"age_seconds":0,"codes":["263","716","562"],"dips":[1,2,0],"id":"0d803758693371f4","medium":"strip","place":3,"replicate":0,"seat":1,"sites":[],"spare":true,"void":false},{"age_seconds":300,"codes":["742","461","154"],"dips":[1,2,0],"id":"208841ed38d00356","medium":"strip","place":1,"replicate":1,"seat":2,"sites":[],"spare":false,"void":false},{"age_seconds":300,"codes":["705","359","160"],"dips":[2,0,1],"id":"f876ebd5a178ed1d","medium":"strip","place":2,"replicate":2,"seat":2,"sites":[],"spare":false,"void":false},{"age_seconds":0,"codes":["594","813","649"],"dips":[2,1,0],"id":"c5b51f0848e6c429","medium":"strip","place":3,"replicate":0,"seat":2,"sites":[],"spare":true,"void":false},{"age_seconds":300,"codes":["395","945","260"],"dips":[2,1,0],"id":"87ba1fe5da519308","medium":"strip","place":1,"replicate":1,"seat":3,"sites":[],"spare":false,"void":false},{"age_seconds":300,"codes":["867","941","298"],"dips":[2,0,1],"id":"d9692b964964829a","medium":"strip","place":2,"replicate":2,"seat":3,"sites":[],"spare":false,"void":false},{"age_seconds":0,"codes":["864","968","691"],"dips":[0,1,2],"id":"9243c33c8a3cb73f","medium":"strip","place":3,"replicate":0,"seat":3,"sites":[],"spare":true,"void":false},{"age_seconds":300,"codes":["850","721","812"],"dips":[1,0,2],"id":"e6dc6892a589df01","medium":"strip","place":1,"replicate":1,"seat":4,"sites":[],"spare":false,"void":false},{"age_seconds":300,"codes":["236","730","203"],"dips":[1,0,2],"id":"1aa4b732379f28cb","medium":"strip","place":2,"replicate":2,"seat":4,"sites":[],"spare":false,"void":false},{"age_seconds":0,"codes":["197","832","690"],"dips":[1,2,0],"id":"bf686e9881f7492b","medium":"strip","place":3,"replicate":0,"seat":4,"sites":[],"spare":true,"void":false}]},"version":1}','3d0061d7f4c6ba926aa84ba8e7364322244a77848d266dc2eef790edc8da7b1b');
INSERT INTO "records" VALUES('session',6,1767168000026,'stop','{"value":{"ballot_id":"c87241177f3c9e9b","kind":"unwell"},"version":1}','79bcdaae42d723761c8e83eb2d4276040e64bdcef786920c00166635ee367d73');
INSERT INTO "records" VALUES('of a series',1,1767168000030,'seal','{"value":{"ballots":[{"id":"f0255ce890a9a8b8","panelist_id":"person-1","seat":1},{"id":"166eeae7f5284e68","panelist_id":"person-2","seat":2}],"commitment":"b05b167136a73d7f28b0ccb6ca8a06ab20070d16ba8239666c96337db7f89578","groupings":"ce29398a47ba1ee22c9f15caa60b1383dda7ccf860c93c48af1f8113da33ad2b","hash":"4e5a16363a381340dfe6d5bbaf58f6e2e479c535e252e5f1fa7e614e9d02cb2a","named":{"brief":{"digest":"a3eb9bd732b02a5e3f41e69f859e4ba0b074bbf666085a3e44605787ff11b2f2"},"trial-7":{"digest":"d8f819c31805d6605ab5311061ccb74ee21b4f6a4400df5ec2a7bf4cb08e4e54"},"trial-8":{"digest":"776a7fc469f3d7f0080818c79ccaf6ca65a80fe1b08c4c84fa59e9d393b2358c"}},"plan":{"ages":[{"seconds":300,"tolerance_seconds":30}],"alpha":"0.05","asks_liking":false,"asks_nearer":true,"asks_strength":true,"beta":"0.05","brief_id":"brief","confirmed":[],"descriptor":"","descriptor_order":"fixed","descriptors":[],"draw":"independent","expected":"","expected_order":[],"first_trial_id":"trial-7","left_out":["wrong strip","ruined strip","unblinded"],"look_every":0,"medium":"strip","method":"triangle","null_sets":0,"other_trial_ids":[],"pairs_each":0,"pd":"0.3","plain_difference":false,"primary":300,"prior":"flat","replicates":1,"resmell":false,"seats":[{"number":1,"panelist_id":"person-1"},{"number":2,"panelist_id":"person-2"}],"second_trial_id":"trial-8","series_id":"dcdff94114d4bf71","skin_ages":[],"solo":false,"ties_allowed":true,"ties_rule":"drop","title":"Of a series","warm_up":false,"zone":"UTC"},"series":{"hash":"8c3e2dd5def9a27761b3f4fd819e00160044b93f66a5521dd7a84b356c7e938c","id":"dcdff94114d4bf71"},"servings":[{"age_seconds":300,"codes":["513","516","862"],"dips":[2,0,1],"id":"ab856c4895e215ad","medium":"strip","place":1,"replicate":1,"seat":1,"sites":[],"spare":false,"void":false},{"age_seconds":0,"codes":["702","438","378"],"dips":[2,1,0],"id":"16abdb0a99e0bcaf","medium":"strip","place":2,"replicate":0,"seat":1,"sites":[],"spare":true,"void":false},{"age_seconds":300,"codes":["263","716","562"],"dips":[1,2,0],"id":"de64f0c3189af08c","medium":"strip","place":1,"replicate":1,"seat":2,"sites":[],"spare":false,"void":false},{"age_seconds":0,"codes":["742","461","154"],"dips":[1,2,0],"id":"3b2cbdb837d82235","medium":"strip","place":2,"replicate":0,"seat":2,"sites":[],"spare":true,"void":false}]},"version":1}','fc752166f6bda2d21365f857cf1ccab2b899f01e2dae32dba0ef78117b88a2a3');
CREATE TABLE series (
	id TEXT NOT NULL, 
	brief_id TEXT NOT NULL, 
	number INTEGER NOT NULL, 
	kind TEXT NOT NULL, 
	body TEXT NOT NULL, 
	sealed_at BIGINT NOT NULL, 
	hash TEXT NOT NULL, 
	CONSTRAINT pk_series PRIMARY KEY (id), 
	CONSTRAINT fk_series_brief_id FOREIGN KEY(brief_id) REFERENCES briefs (id), 
	CONSTRAINT uq_series_brief_id_number UNIQUE (brief_id, number)
);
INSERT INTO "series" VALUES('dcdff94114d4bf71','brief',1,'search series','{"value":{"kind":"search series","makers":[],"open_panel":false,"plan":{"ages":[{"seconds":300,"tolerance_seconds":30}],"alpha":"0.05","asks_liking":false,"asks_nearer":true,"asks_strength":true,"beta":"0.05","brief_id":"brief","confirmed":[],"descriptor":"","descriptor_order":"fixed","descriptors":[],"expected":"","expected_order":[],"first_trial_id":"trial-7","left_out":["wrong strip","ruined strip","unblinded"],"look_every":0,"medium":"strip","method":"triangle","null_sets":0,"other_trial_ids":[],"pairs_each":0,"pd":"0.3","plain_difference":false,"primary":300,"prior":"flat","replicates":1,"resmell":false,"seats":[{"number":1,"panelist_id":"person-1"},{"number":2,"panelist_id":"person-2"}],"second_trial_id":"trial-8","skin_ages":[],"solo":false,"ties_allowed":true,"ties_rule":"drop","title":"Trial 7 against trial 8","warm_up":false,"zone":"UTC"}},"version":1}',1767168000027,'8c3e2dd5def9a27761b3f4fd819e00160044b93f66a5521dd7a84b356c7e938c');
CREATE TABLE series_log (
	brief_id TEXT NOT NULL, 
	number INTEGER NOT NULL, 
	series_id TEXT NOT NULL, 
	kind TEXT NOT NULL, 
	body TEXT NOT NULL, 
	at BIGINT NOT NULL, 
	previous TEXT NOT NULL, 
	hash TEXT NOT NULL, 
	CONSTRAINT pk_series_log PRIMARY KEY (brief_id, number), 
	CONSTRAINT fk_series_log_brief_id FOREIGN KEY(brief_id) REFERENCES briefs (id), 
	CONSTRAINT fk_series_log_series_id FOREIGN KEY(series_id) REFERENCES series (id)
);
INSERT INTO "series_log" VALUES('brief',1,'dcdff94114d4bf71','sealed','{"value":{"hash":"8c3e2dd5def9a27761b3f4fd819e00160044b93f66a5521dd7a84b356c7e938c"},"version":1}',1767168000028,'','32e582c8774a815e781180c06054cc80006f60450c143bd3638bbfc7d3a98c0a');
INSERT INTO "series_log" VALUES('brief',2,'dcdff94114d4bf71','ended','{"value":{"reason":"the bottle broke"},"version":1}',1767168000031,'32e582c8774a815e781180c06054cc80006f60450c143bd3638bbfc7d3a98c0a','999d496a932da5af8503d8f70dfff74007d6821fbb6afb7e821979f0c05a5da0');
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
INSERT INTO "servings" VALUES('d4e361a1e458e73e','session',0,1,1,300,1,'513 516 862',0,0,'strip','','');
INSERT INTO "servings" VALUES('41435a5e6c02b797','session',1,1,2,3600,1,'702 438 378',0,0,'strip','','');
INSERT INTO "servings" VALUES('8f0ef6605d718803','session',2,1,3,0,0,'263 716 562',1,0,'strip','','');
INSERT INTO "servings" VALUES('40f757183510d340','session',3,2,1,300,1,'742 461 154',0,1,'strip','','');
INSERT INTO "servings" VALUES('6cb9152c8190feb5','session',4,2,2,3600,1,'705 359 160',0,0,'strip','','');
INSERT INTO "servings" VALUES('d6b4e93247bd557e','session',5,2,1,300,1,'594 813 649',0,0,'strip','','');
INSERT INTO "servings" VALUES('29a5b4b8032f34b5','session',6,3,1,300,1,'395 945 260',0,0,'strip','','');
INSERT INTO "servings" VALUES('2e2221ac9e69eb73','session',7,3,2,3600,1,'867 941 298',0,0,'strip','','');
INSERT INTO "servings" VALUES('5533b2c973e950ab','session',8,3,3,0,0,'864 968 691',1,0,'strip','','');
INSERT INTO "servings" VALUES('541e0354fdfa96f8','session',9,4,1,300,1,'850 721 812',0,0,'strip','','');
INSERT INTO "servings" VALUES('97f0e0d221302de4','session',10,4,2,3600,1,'236 730 203',0,0,'strip','','');
INSERT INTO "servings" VALUES('a4fe2a6b9f8c82df','session',11,4,3,0,0,'197 832 690',1,0,'strip','','');
INSERT INTO "servings" VALUES('3273be20dcd067fd','alone',0,1,1,300,1,'513 516 862',0,0,'strip','','');
INSERT INTO "servings" VALUES('8b76f718a6aefcd4','alone',1,1,2,300,2,'702 438 378',0,0,'strip','','');
INSERT INTO "servings" VALUES('6dae4d6cf58e4205','alone',2,1,3,0,0,'263 716 562',1,0,'strip','','');
INSERT INTO "servings" VALUES('f3d56c089ade91e6','alone',3,1,4,0,0,'742 461 154',1,0,'strip','','');
INSERT INTO "servings" VALUES('4f38a432cd3446cd','alone',4,1,5,0,0,'705 359 160',1,0,'strip','','');
INSERT INTO "servings" VALUES('8ece1d0ce4f14af1','alone',5,1,6,0,0,'594 813 649',1,0,'strip','','');
INSERT INTO "servings" VALUES('654b6ec33f8e1878','with null sets',0,1,1,300,1,'513 516 862',0,0,'strip','','2 0 1');
INSERT INTO "servings" VALUES('369ba5958bcd2692','with null sets',1,1,2,300,2,'702 438 378',0,0,'strip','','2 1 0');
INSERT INTO "servings" VALUES('0d803758693371f4','with null sets',2,1,3,0,0,'263 716 562',1,0,'strip','','1 2 0');
INSERT INTO "servings" VALUES('208841ed38d00356','with null sets',3,2,1,300,1,'742 461 154',0,0,'strip','','1 2 0');
INSERT INTO "servings" VALUES('f876ebd5a178ed1d','with null sets',4,2,2,300,2,'705 359 160',0,0,'strip','','2 0 1');
INSERT INTO "servings" VALUES('c5b51f0848e6c429','with null sets',5,2,3,0,0,'594 813 649',1,0,'strip','','2 1 0');
INSERT INTO "servings" VALUES('87ba1fe5da519308','with null sets',6,3,1,300,1,'395 945 260',0,0,'strip','','2 1 0');
INSERT INTO "servings" VALUES('d9692b964964829a','with null sets',7,3,2,300,2,'867 941 298',0,0,'strip','','2 0 1');
INSERT INTO "servings" VALUES('9243c33c8a3cb73f','with null sets',8,3,3,0,0,'864 968 691',1,0,'strip','','0 1 2');
INSERT INTO "servings" VALUES('e6dc6892a589df01','with null sets',9,4,1,300,1,'850 721 812',0,0,'strip','','1 0 2');
INSERT INTO "servings" VALUES('1aa4b732379f28cb','with null sets',10,4,2,300,2,'236 730 203',0,0,'strip','','1 0 2');
INSERT INTO "servings" VALUES('bf686e9881f7492b','with null sets',11,4,3,0,0,'197 832 690',1,0,'strip','','1 2 0');
INSERT INTO "servings" VALUES('ab856c4895e215ad','of a series',0,1,1,300,1,'513 516 862',0,0,'strip','','2 0 1');
INSERT INTO "servings" VALUES('16abdb0a99e0bcaf','of a series',1,1,2,0,0,'702 438 378',1,0,'strip','','2 1 0');
INSERT INTO "servings" VALUES('de64f0c3189af08c','of a series',2,2,1,300,1,'263 716 562',0,0,'strip','','1 2 0');
INSERT INTO "servings" VALUES('3b2cbdb837d82235','of a series',3,2,2,0,0,'742 461 154',1,0,'strip','','1 2 0');
CREATE TABLE "sessions" (
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
	series_id TEXT, 
	CONSTRAINT pk_sessions PRIMARY KEY (id), 
	CONSTRAINT fk_sessions_first_trial_id FOREIGN KEY(first_trial_id) REFERENCES trials (id), 
	CONSTRAINT fk_sessions_second_trial_id FOREIGN KEY(second_trial_id) REFERENCES trials (id), 
	CONSTRAINT fk_sessions_brief_id FOREIGN KEY(brief_id) REFERENCES briefs (id), 
	CONSTRAINT fk_sessions_series_id FOREIGN KEY(series_id) REFERENCES series (id)
);
INSERT INTO "sessions" VALUES('session','brief','trial-7','trial-8','{"value":{"ages":[{"seconds":300,"tolerance_seconds":30},{"seconds":3600,"tolerance_seconds":360}],"alpha":"0.05","asks_liking":false,"asks_nearer":true,"asks_strength":true,"beta":"0.05","brief_id":"brief","confirmed":[],"descriptor":"","descriptor_order":"fixed","descriptors":[],"expected":"","expected_order":[],"first_trial_id":"trial-7","left_out":["wrong strip","ruined strip","unblinded"],"look_every":0,"medium":"strip","method":"triangle","null_sets":0,"other_trial_ids":[],"pairs_each":0,"pd":"0.3","plain_difference":false,"primary":300,"prior":"flat","replicates":1,"resmell":false,"seats":[{"number":1,"panelist_id":"person-1"},{"number":2,"panelist_id":"person-2"},{"number":3,"panelist_id":"person-3"},{"number":4,"panelist_id":null}],"second_trial_id":"trial-8","skin_ages":[],"solo":false,"ties_allowed":true,"ties_rule":"drop","title":"Trial 7 against trial 8","warm_up":false,"zone":"UTC"},"version":1}','smelling',2000,1767168000008,'7d2924a0862710910159e8e2a9e0d1160066d51b1e9dd1fc6295a1ab83d89f2d','822193dbec9d639dcc573d502f1c770f3fe2535d60c80b1f8ec53211f9e785ee',NULL);
INSERT INTO "sessions" VALUES('alone','brief','trial-7','trial-8','{"value":{"ages":[{"seconds":300,"tolerance_seconds":30}],"alpha":"0.05","asks_liking":false,"asks_nearer":true,"asks_strength":true,"beta":"0.05","brief_id":"brief","confirmed":[],"descriptor":"","descriptor_order":"fixed","descriptors":[],"expected":"","expected_order":[],"first_trial_id":"trial-7","left_out":["wrong strip","ruined strip","unblinded"],"look_every":0,"medium":"strip","method":"triangle","null_sets":0,"other_trial_ids":[],"pairs_each":0,"pd":"0.3","plain_difference":false,"primary":300,"prior":"flat","replicates":2,"resmell":false,"seats":[{"number":1,"panelist_id":"person-1"}],"second_trial_id":"trial-8","skin_ages":[],"solo":true,"ties_allowed":true,"ties_rule":"drop","title":"Trial 7 against trial 8","warm_up":false,"zone":"UTC"},"version":1}','closed',2000,1767168000014,'26aaaec58b1ab1638dc15a3ea6554916427fb04864fb8b374b66c90dc035bf3f','b506402a472f3fee91c3884e64e60e47cc6adc2725149062d29e3d6c508afe40',NULL);
INSERT INTO "sessions" VALUES('with null sets','brief','trial-7','trial-8','{"value":{"ages":[{"seconds":300,"tolerance_seconds":30}],"alpha":"0.05","asks_liking":false,"asks_nearer":true,"asks_strength":true,"beta":"0.05","brief_id":"brief","confirmed":[],"descriptor":"","descriptor_order":"fixed","descriptors":[],"draw":"independent","expected":"","expected_order":[],"first_trial_id":"trial-7","left_out":["wrong strip","ruined strip","unblinded"],"look_every":0,"medium":"strip","method":"triangle","null_sets":1,"other_trial_ids":[],"pairs_each":0,"pd":"0.3","plain_difference":false,"primary":300,"prior":"flat","replicates":1,"resmell":false,"seats":[{"number":1,"panelist_id":"person-1"},{"number":2,"panelist_id":"person-2"},{"number":3,"panelist_id":"person-3"},{"number":4,"panelist_id":null}],"second_trial_id":"trial-8","skin_ages":[],"solo":false,"ties_allowed":true,"ties_rule":"drop","title":"Trial 7 against trial 8","warm_up":false,"zone":"UTC"},"version":1}','sealed',2000,1767168000021,'0f64f1c18f712fea6836bd5d863696d8cf99c367b399aae233004d3657a7bcfe','78fd4e0f65a00c48c5223ecf8bb816bea6d274c252ddf0f428f975a1cfd604bd',NULL);
INSERT INTO "sessions" VALUES('of a series','brief','trial-7','trial-8','{"value":{"ages":[{"seconds":300,"tolerance_seconds":30}],"alpha":"0.05","asks_liking":false,"asks_nearer":true,"asks_strength":true,"beta":"0.05","brief_id":"brief","confirmed":[],"descriptor":"","descriptor_order":"fixed","descriptors":[],"draw":"independent","expected":"","expected_order":[],"first_trial_id":"trial-7","left_out":["wrong strip","ruined strip","unblinded"],"look_every":0,"medium":"strip","method":"triangle","null_sets":0,"other_trial_ids":[],"pairs_each":0,"pd":"0.3","plain_difference":false,"primary":300,"prior":"flat","replicates":1,"resmell":false,"seats":[{"number":1,"panelist_id":"person-1"},{"number":2,"panelist_id":"person-2"}],"second_trial_id":"trial-8","series_id":"dcdff94114d4bf71","skin_ages":[],"solo":false,"ties_allowed":true,"ties_rule":"drop","title":"Of a series","warm_up":false,"zone":"UTC"},"version":1}','sealed',2000,1767168000029,'4e5a16363a381340dfe6d5bbaf58f6e2e479c535e252e5f1fa7e614e9d02cb2a','b05b167136a73d7f28b0ccb6ca8a06ab20070d16ba8239666c96337db7f89578','dcdff94114d4bf71');
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
INSERT INTO "skin_limits" VALUES(1,'m1','0.4','invented sheet 4','2020-02-01','left on skin',1767168000023);
CREATE TABLE skin_log (
	id INTEGER NOT NULL, 
	kind TEXT NOT NULL, 
	panelist_id TEXT, 
	body TEXT NOT NULL, 
	at BIGINT NOT NULL, 
	CONSTRAINT pk_skin_log PRIMARY KEY (id), 
	CONSTRAINT fk_skin_log_panelist_id FOREIGN KEY(panelist_id) REFERENCES panelists (id)
);
INSERT INTO "skin_log" VALUES(1,'limit confirmed',NULL,'{"value":{"limit":1,"material":"m1","who":"Ida Fern, chemist"},"version":1}',1767168000023);
INSERT INTO "skin_log" VALUES(2,'patch put on','person-1','{"value":{"patch":"p1"},"version":1}',1767168000023);
INSERT INTO "skin_log" VALUES(3,'patch put on','person-1','{"value":{"patch":"p2"},"version":1}',1767168000023);
INSERT INTO "skin_log" VALUES(4,'patch put on','person-1','{"value":{"patch":"p3"},"version":1}',1767168000023);
INSERT INTO "skin_log" VALUES(5,'reading','person-1','{"value":{"note":"","patch":"p1","result":"clear"},"version":1}',1767348000023);
INSERT INTO "skin_log" VALUES(6,'reading','person-1','{"value":{"note":"","patch":"p1","result":"clear"},"version":1}',1767438000023);
INSERT INTO "skin_log" VALUES(7,'asked what changed','person-1','{"value":{"changed":["batch"],"patch":"p1"},"version":1}',1770408000023);
INSERT INTO "skin_log" VALUES(8,'reading','person-1','{"value":{"note":"red","patch":"p2","result":"reaction"},"version":1}',1767276000023);
INSERT INTO "skin_log" VALUES(9,'patch cancelled','person-1','{"value":{"patch":"p3","reason":"washed off"},"version":1}',1767276000023);
INSERT INTO "skin_log" VALUES(10,'reaction','person-1','{"value":{"materials":["m1"],"note":"","patch":"p2","session":"","trials":["trial-7"]},"version":1}',1767276000023);
INSERT INTO "skin_log" VALUES(11,'may be applied again',NULL,'{"value":{"materials":["m1"],"reason":"it was the soap"},"version":1}',1767312000023);
INSERT INTO "skin_log" VALUES(12,'advice','person-1','{"value":{"given_on":"2026-01-02","materials":["m1"],"note":"","who":"Dr Ida Fern"},"version":1}',1767312000023);
INSERT INTO "skin_log" VALUES(13,'stop explained','person-2','{"value":{"reason":"too warm a room"},"version":1}',1767312000023);
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
INSERT INTO "stops" VALUES(1,'session','c87241177f3c9e9b','unwell',1767168000026,6);
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
CREATE INDEX ix_series_log_series_id ON series_log (series_id);
CREATE INDEX ix_sessions_brief_id ON sessions (brief_id);
COMMIT;
