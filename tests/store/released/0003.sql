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
INSERT INTO "answers" VALUES(1,'session','0dd6ee2d865ad7da','31e7c721b3c7285b','31e7c721b3c7285b','choice','513',NULL,5000,1,3);
INSERT INTO "answers" VALUES(2,'session','0dd6ee2d865ad7da','31e7c721b3c7285b','31e7c721b3c7285b','remark','','efe6c33713ee30cd27ca2781eed671ce7cae5ef8ce439eb0cdbf8be532d535cf',5000,1,4);
INSERT INTO "answers" VALUES(3,'alone','8119ea7169937676','d2ed0538658869a0','d2ed0538658869a0','choice','513',NULL,5000,1,3);
INSERT INTO "answers" VALUES(4,'alone','8119ea7169937676','10d32bdfe3f9aaa9','10d32bdfe3f9aaa9','choice','702',NULL,5000,1,4);
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
INSERT INTO "ballots" VALUES('0dd6ee2d865ad7da','session',1,'person-1',1,NULL,NULL);
INSERT INTO "ballots" VALUES('59d3cb7150ffb3d9','session',2,'person-2',1,NULL,NULL);
INSERT INTO "ballots" VALUES('dc0648f60154c3e0','session',3,'person-3',1,NULL,NULL);
INSERT INTO "ballots" VALUES('b6140a8aa8c4fd32','session',4,NULL,1,NULL,NULL);
INSERT INTO "ballots" VALUES('8119ea7169937676','alone',1,'person-1',1,NULL,NULL);
INSERT INTO "ballots" VALUES('bd0d1898b318bbc7','with null sets',1,'person-1',1,NULL,NULL);
INSERT INTO "ballots" VALUES('2062f9a08e7de5f1','with null sets',2,'person-2',1,NULL,NULL);
INSERT INTO "ballots" VALUES('94b4bc6b71417c14','with null sets',3,'person-3',1,NULL,NULL);
INSERT INTO "ballots" VALUES('e7fef126f7a5d8fe','with null sets',4,NULL,1,NULL,NULL);
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
INSERT INTO "groupings" VALUES('31e7c721b3c7285b','YYX');
INSERT INTO "groupings" VALUES('e0e4b17dac2ecd65','YXY');
INSERT INTO "groupings" VALUES('8015427b17417fd5','YXX');
INSERT INTO "groupings" VALUES('3fe33fb66b0a9088','XYX');
INSERT INTO "groupings" VALUES('89def5e9b1d0462c','XXY');
INSERT INTO "groupings" VALUES('83b92989444083e9','YXY');
INSERT INTO "groupings" VALUES('e4fcb4e914fa3585','YYX');
INSERT INTO "groupings" VALUES('8a4d6f60094c6b4f','YXY');
INSERT INTO "groupings" VALUES('0883b87552e6ae0e','XXY');
INSERT INTO "groupings" VALUES('159d6d96c3f36bfa','YXX');
INSERT INTO "groupings" VALUES('58885387dab1b733','XYX');
INSERT INTO "groupings" VALUES('69799c3bc90d0dcc','YXY');
INSERT INTO "groupings" VALUES('d2ed0538658869a0','');
INSERT INTO "groupings" VALUES('10d32bdfe3f9aaa9','');
INSERT INTO "groupings" VALUES('4b56948ae01e6c92','bYY');
INSERT INTO "groupings" VALUES('ac083ecf2a9395f1','bbX');
INSERT INTO "groupings" VALUES('05710379def915c8','bXX');
INSERT INTO "groupings" VALUES('840a0a36a0403bad','XaX');
INSERT INTO "groupings" VALUES('fa63951fe6816a1c','aYa');
INSERT INTO "groupings" VALUES('aeac8e030368a8f1','aXa');
INSERT INTO "groupings" VALUES('b6c1488365e2bc4a','aab');
INSERT INTO "groupings" VALUES('57ef534ca36bdfd2','YaY');
INSERT INTO "groupings" VALUES('bc968b228791e1ec','bbY');
INSERT INTO "groupings" VALUES('b78e1f92f1be3e32','baa');
INSERT INTO "groupings" VALUES('8b78a7c55d3fdd1e','bYY');
INSERT INTO "groupings" VALUES('23a404a457c85be6','bab');
CREATE TABLE heads (
	session_id TEXT NOT NULL, 
	sequence INTEGER NOT NULL, 
	hash TEXT NOT NULL, 
	CONSTRAINT pk_heads PRIMARY KEY (session_id), 
	CONSTRAINT fk_heads_session_id FOREIGN KEY(session_id) REFERENCES sessions (id)
);
INSERT INTO "heads" VALUES('session',5,'dc07159d74f376b6b9bf57c78fd37230d029bb16dfca12bda4554caa52d6e7b6');
INSERT INTO "heads" VALUES('alone',6,'56fef41cbc138c897560a8420d820522f5b6bb2c2b3bce9c822b2408329c9d96');
INSERT INTO "heads" VALUES('with null sets',1,'ec72981d6814a35ff8f2fb8ab24bb9b65c253548214ccdb39ae57ece8506317f');
CREATE TABLE key_orders (
	serving_id TEXT NOT NULL, 
	trials TEXT NOT NULL, 
	CONSTRAINT pk_key_orders PRIMARY KEY (serving_id), 
	CONSTRAINT fk_key_orders_serving_id FOREIGN KEY(serving_id) REFERENCES servings (id)
);
INSERT INTO "key_orders" VALUES('31e7c721b3c7285b','BBA');
INSERT INTO "key_orders" VALUES('e0e4b17dac2ecd65','BAB');
INSERT INTO "key_orders" VALUES('8015427b17417fd5','BAA');
INSERT INTO "key_orders" VALUES('3fe33fb66b0a9088','BAB');
INSERT INTO "key_orders" VALUES('89def5e9b1d0462c','BBA');
INSERT INTO "key_orders" VALUES('83b92989444083e9','ABA');
INSERT INTO "key_orders" VALUES('e4fcb4e914fa3585','AAB');
INSERT INTO "key_orders" VALUES('8a4d6f60094c6b4f','ABA');
INSERT INTO "key_orders" VALUES('0883b87552e6ae0e','BBA');
INSERT INTO "key_orders" VALUES('159d6d96c3f36bfa','BAA');
INSERT INTO "key_orders" VALUES('58885387dab1b733','ABA');
INSERT INTO "key_orders" VALUES('69799c3bc90d0dcc','BAB');
INSERT INTO "key_orders" VALUES('d2ed0538658869a0','');
INSERT INTO "key_orders" VALUES('10d32bdfe3f9aaa9','');
INSERT INTO "key_orders" VALUES('4b56948ae01e6c92','bBB');
INSERT INTO "key_orders" VALUES('ac083ecf2a9395f1','bbA');
INSERT INTO "key_orders" VALUES('05710379def915c8','bAA');
INSERT INTO "key_orders" VALUES('840a0a36a0403bad','BaB');
INSERT INTO "key_orders" VALUES('fa63951fe6816a1c','aAa');
INSERT INTO "key_orders" VALUES('aeac8e030368a8f1','aBa');
INSERT INTO "key_orders" VALUES('b6c1488365e2bc4a','aab');
INSERT INTO "key_orders" VALUES('57ef534ca36bdfd2','AaA');
INSERT INTO "key_orders" VALUES('bc968b228791e1ec','bbA');
INSERT INTO "key_orders" VALUES('b78e1f92f1be3e32','baa');
INSERT INTO "key_orders" VALUES('8b78a7c55d3fdd1e','bBB');
INSERT INTO "key_orders" VALUES('23a404a457c85be6','bab');
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
INSERT INTO "marks" VALUES('d2ed0538658869a0','ABA',1767168000013,6);
INSERT INTO "marks" VALUES('10d32bdfe3f9aaa9','BBA',1767168000013,6);
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
INSERT INTO "personal_texts" VALUES('efe6c33713ee30cd27ca2781eed671ce7cae5ef8ce439eb0cdbf8be532d535cf','session','person-1','8e7f186218a1d56533148b0de27c855f','greener than I thought');
INSERT INTO "personal_texts" VALUES('dded78815ae4ed48588ce9887fe05fd0dbca5910abd0f8142496ce04dcb974e1','session','person-2','119f2e287332b56030568411afb58238','fell on the floor');
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
INSERT INTO "records" VALUES('session',1,1767168000002,'seal','{"value":{"ballots":[{"id":"0dd6ee2d865ad7da","panelist_id":"person-1","seat":1},{"id":"59d3cb7150ffb3d9","panelist_id":"person-2","seat":2},{"id":"dc0648f60154c3e0","panelist_id":"person-3","seat":3},{"id":"b6140a8aa8c4fd32","panelist_id":null,"seat":4}],"commitment":"b337e1fe11ad2c60f557b892eb83989f29917501d50d6d9e202f2b924772e20c","hash":"7d2924a0862710910159e8e2a9e0d1160066d51b1e9dd1fc6295a1ab83d89f2d","plan":{"ages":[{"seconds":300,"tolerance_seconds":30},{"seconds":3600,"tolerance_seconds":360}],"alpha":"0.05","asks_liking":false,"asks_nearer":true,"asks_strength":true,"beta":"0.05","brief_id":"brief","confirmed":[],"descriptor":"","descriptor_order":"fixed","descriptors":[],"expected":"","expected_order":[],"first_trial_id":"trial-7","left_out":["wrong strip","ruined strip","unblinded"],"look_every":0,"medium":"strip","method":"triangle","null_sets":0,"other_trial_ids":[],"pairs_each":0,"pd":"0.3","plain_difference":false,"primary":300,"prior":"flat","replicates":1,"resmell":false,"seats":[{"number":1,"panelist_id":"person-1"},{"number":2,"panelist_id":"person-2"},{"number":3,"panelist_id":"person-3"},{"number":4,"panelist_id":null}],"second_trial_id":"trial-8","skin_ages":[],"solo":false,"ties_allowed":true,"ties_rule":"drop","title":"Trial 7 against trial 8","warm_up":false,"zone":"UTC"},"servings":[{"age_seconds":300,"codes":["513","516","862"],"id":"31e7c721b3c7285b","medium":"strip","place":1,"replicate":1,"seat":1,"sites":[],"spare":false,"void":false},{"age_seconds":3600,"codes":["702","438","378"],"id":"e0e4b17dac2ecd65","medium":"strip","place":2,"replicate":1,"seat":1,"sites":[],"spare":false,"void":false},{"age_seconds":0,"codes":["263","716","562"],"id":"8015427b17417fd5","medium":"strip","place":3,"replicate":0,"seat":1,"sites":[],"spare":true,"void":false},{"age_seconds":300,"codes":["742","461","154"],"id":"3fe33fb66b0a9088","medium":"strip","place":1,"replicate":1,"seat":2,"sites":[],"spare":false,"void":false},{"age_seconds":3600,"codes":["705","359","160"],"id":"89def5e9b1d0462c","medium":"strip","place":2,"replicate":1,"seat":2,"sites":[],"spare":false,"void":false},{"age_seconds":0,"codes":["594","813","649"],"id":"83b92989444083e9","medium":"strip","place":3,"replicate":0,"seat":2,"sites":[],"spare":true,"void":false},{"age_seconds":300,"codes":["395","945","260"],"id":"e4fcb4e914fa3585","medium":"strip","place":1,"replicate":1,"seat":3,"sites":[],"spare":false,"void":false},{"age_seconds":3600,"codes":["867","941","298"],"id":"8a4d6f60094c6b4f","medium":"strip","place":2,"replicate":1,"seat":3,"sites":[],"spare":false,"void":false},{"age_seconds":0,"codes":["864","968","691"],"id":"0883b87552e6ae0e","medium":"strip","place":3,"replicate":0,"seat":3,"sites":[],"spare":true,"void":false},{"age_seconds":300,"codes":["850","721","812"],"id":"159d6d96c3f36bfa","medium":"strip","place":1,"replicate":1,"seat":4,"sites":[],"spare":false,"void":false},{"age_seconds":3600,"codes":["236","730","203"],"id":"58885387dab1b733","medium":"strip","place":2,"replicate":1,"seat":4,"sites":[],"spare":false,"void":false},{"age_seconds":0,"codes":["197","832","690"],"id":"69799c3bc90d0dcc","medium":"strip","place":3,"replicate":0,"seat":4,"sites":[],"spare":true,"void":false}]},"version":1}','48df97e54db44986118d2403fddcdf89b62d41c1aed141d25cd8a25de41fe572');
INSERT INTO "records" VALUES('session',2,1767168000003,'start','{"value":{},"version":1}','4a2a30b719fb1a08e4d16f999774643c82d4b8a1ba39f0b8dbf5804c506c3574');
INSERT INTO "records" VALUES('session',3,1767168000004,'answer','{"value":{"at":5000,"ballot_id":"0dd6ee2d865ad7da","question":"choice","serving_id":"31e7c721b3c7285b","value":"513"},"version":1}','4d1b77075250f95f33ba3920e0c9f7fd8d31eae1809514f20f08fa9268d02b8c');
INSERT INTO "records" VALUES('session',4,1767168000005,'answer','{"value":{"at":5000,"ballot_id":"0dd6ee2d865ad7da","question":"remark","remark":{"digest":"efe6c33713ee30cd27ca2781eed671ce7cae5ef8ce439eb0cdbf8be532d535cf"},"serving_id":"31e7c721b3c7285b"},"version":1}','ff264b115687b98c30fe0e1ec65899b6d1e3eee705e7428e79d8b7611093861f');
INSERT INTO "records" VALUES('session',5,1767168000006,'void serving','{"value":{"reason":{"digest":"dded78815ae4ed48588ce9887fe05fd0dbca5910abd0f8142496ce04dcb974e1"},"seat":2,"serving_id":"3fe33fb66b0a9088","spare_id":"83b92989444083e9"},"version":1}','dc07159d74f376b6b9bf57c78fd37230d029bb16dfca12bda4554caa52d6e7b6');
INSERT INTO "records" VALUES('alone',1,1767168000008,'seal','{"value":{"ballots":[{"id":"8119ea7169937676","panelist_id":"person-1","seat":1}],"commitment":"8991c1ceb0d88fb6fcdf8fee997651314d81a7560ac8fa00050f4edc21d21a12","hash":"26aaaec58b1ab1638dc15a3ea6554916427fb04864fb8b374b66c90dc035bf3f","plan":{"ages":[{"seconds":300,"tolerance_seconds":30}],"alpha":"0.05","asks_liking":false,"asks_nearer":true,"asks_strength":true,"beta":"0.05","brief_id":"brief","confirmed":[],"descriptor":"","descriptor_order":"fixed","descriptors":[],"expected":"","expected_order":[],"first_trial_id":"trial-7","left_out":["wrong strip","ruined strip","unblinded"],"look_every":0,"medium":"strip","method":"triangle","null_sets":0,"other_trial_ids":[],"pairs_each":0,"pd":"0.3","plain_difference":false,"primary":300,"prior":"flat","replicates":2,"resmell":false,"seats":[{"number":1,"panelist_id":"person-1"}],"second_trial_id":"trial-8","skin_ages":[],"solo":true,"ties_allowed":true,"ties_rule":"drop","title":"Trial 7 against trial 8","warm_up":false,"zone":"UTC"},"servings":[{"age_seconds":300,"codes":["513","516","862"],"id":"d2ed0538658869a0","medium":"strip","place":1,"replicate":1,"seat":1,"sites":[],"spare":false,"void":false},{"age_seconds":300,"codes":["702","438","378"],"id":"10d32bdfe3f9aaa9","medium":"strip","place":2,"replicate":2,"seat":1,"sites":[],"spare":false,"void":false}]},"version":1}','e3d55c4679fb75ef1fbbc03fe930e34d621d59ab7bac3fb21c898a541f31cea3');
INSERT INTO "records" VALUES('alone',2,1767168000009,'start','{"value":{},"version":1}','82af76da48182358b57a998c1eff590755f68283bc4ccda76709607657a275bf');
INSERT INTO "records" VALUES('alone',3,1767168000010,'answer','{"value":{"at":5000,"ballot_id":"8119ea7169937676","question":"choice","serving_id":"d2ed0538658869a0","value":"513"},"version":1}','9de85b181ec8f3358b6c481a99bc28d5562c61c80cbf1c852eabab8a88fe8269');
INSERT INTO "records" VALUES('alone',4,1767168000011,'answer','{"value":{"at":5000,"ballot_id":"8119ea7169937676","question":"choice","serving_id":"10d32bdfe3f9aaa9","value":"702"},"version":1}','4ba9643cf2476843a1ac0da69ce534cff50a7e51de2419566347c992e96b7e0b');
INSERT INTO "records" VALUES('alone',5,1767168000012,'close','{"value":{},"version":1}','6e028a42b0da400d10c8e973667d33ab830d4e7bb7117ef5251ae1564bbd91e1');
INSERT INTO "records" VALUES('alone',6,1767168000013,'marks','{"value":{"orders":{"10d32bdfe3f9aaa9":"BBA","d2ed0538658869a0":"ABA"}},"version":1}','56fef41cbc138c897560a8420d820522f5b6bb2c2b3bce9c822b2408329c9d96');
INSERT INTO "records" VALUES('with null sets',1,1767168000015,'seal','{"value":{"ballots":[{"id":"bd0d1898b318bbc7","panelist_id":"person-1","seat":1},{"id":"2062f9a08e7de5f1","panelist_id":"person-2","seat":2},{"id":"94b4bc6b71417c14","panelist_id":"person-3","seat":3},{"id":"e7fef126f7a5d8fe","panelist_id":null,"seat":4}],"commitment":"c01cd4e991155100bc41b01f21b73d803754e0955dfbf390b81edf8e5117101f","hash":"f041f3ec2e7b62f6fdc0cf92436b7acffae5986244867013daaacb6c2b684717","plan":{"ages":[{"seconds":300,"tolerance_seconds":30}],"alpha":"0.05","asks_liking":false,"asks_nearer":true,"asks_strength":true,"beta":"0.05","brief_id":"brief","confirmed":[],"descriptor":"","descriptor_order":"fixed","descriptors":[],"expected":"","expected_order":[],"first_trial_id":"trial-7","left_out":["wrong strip","ruined strip","unblinded"],"look_every":0,"medium":"strip","method":"triangle","null_sets":1,"other_trial_ids":[],"pairs_each":0,"pd":"0.3","plain_difference":false,"primary":300,"prior":"flat","replicates":1,"resmell":false,"seats":[{"number":1,"panelist_id":"person-1"},{"number":2,"panelist_id":"person-2"},{"number":3,"panelist_id":"person-3"},{"number":4,"panelist_id":null}],"second_trial_id":"trial-8","skin_ages":[],"solo":false,"ties_allowed":true,"ties_rule":"drop","title":"Trial 7 against trial 8","warm_up":false,"zone":"UTC"},"servings":[{"age_seconds":300,"codes":["513","516","862"],"id":"4b56948ae01e6c92","medium":"strip","place":1,"replicate":1,"seat":1,"sites":[],"spare":false,"void":false},{"age_seconds":300,"codes":["702","438","378"],"id":"ac083ecf2a9395f1","medium":"strip","place":2,"replicate":2,"seat":1,"sites":[],"spare":false,"void":false},{"age_seconds":0,"codes":["263","716","562"],"id":"05710379def915c8","medium":"strip","place":3,"replicate":0,"seat":1,"sites":[],"spare":true,"void":false},{"age_seconds":300,"codes":["742","461","154"],"id":"840a0a36a0403bad","medium":"strip","place":1,"replicate":1,"seat":2,"sites":[],"spare":false,"void":false},{"age_seconds":300,"codes":["705","359","160"],"id":"fa63951fe6816a1c","medium":"strip","place":2,"replicate":2,"seat":2,"sites":[],"spare":false,"void":false},{"age_seconds":0,"codes":["594","813","649"],"id":"aeac8e030368a8f1","medium":"strip","place":3,"replicate":0,"seat":2,"sites":[],"spare":true,"void":false},{"age_seconds":300,"codes":["395","945","260"],"id":"b6c1488365e2bc4a","medium":"strip","place":1,"replicate":1,"seat":3,"sites":[],"spare":false,"void":false},{"age_seconds":300,"codes":["867","941","298"],"id":"57ef534ca36bdfd2","medium":"strip","place":2,"replicate":2,"seat":3,"sites":[],"spare":false,"void":false},{"age_seconds":0,"codes":["864","968","691"],"id":"bc968b228791e1ec","medium":"strip","place":3,"replicate":0,"seat":3,"sites":[],"spare":true,"void":false},{"age_seconds":300,"codes":["850","721","812"],"id":"b78e1f92f1be3e32","medium":"strip","place":1,"replicate":1,"seat":4,"sites":[],"spare":false,"void":false},{"age_seconds":300,"codes":["236","730","203"],"id":"8b78a7c55d3fdd1e","medium":"strip","place":2,"replicate":2,"seat":4,"sites":[],"spare":false,"void":false},{"age_seconds":0,"codes":["197","832","690"],"id":"23a404a457c85be6","medium":"strip","place":3,"replicate":0,"seat":4,"sites":[],"spare":true,"void":false}]},"version":1}','ec72981d6814a35ff8f2fb8ab24bb9b65c253548214ccdb39ae57ece8506317f');
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
INSERT INTO "servings" VALUES('31e7c721b3c7285b','session',0,1,1,300,1,'513 516 862',0,0,'strip','');
INSERT INTO "servings" VALUES('e0e4b17dac2ecd65','session',1,1,2,3600,1,'702 438 378',0,0,'strip','');
INSERT INTO "servings" VALUES('8015427b17417fd5','session',2,1,3,0,0,'263 716 562',1,0,'strip','');
INSERT INTO "servings" VALUES('3fe33fb66b0a9088','session',3,2,1,300,1,'742 461 154',0,1,'strip','');
INSERT INTO "servings" VALUES('89def5e9b1d0462c','session',4,2,2,3600,1,'705 359 160',0,0,'strip','');
INSERT INTO "servings" VALUES('83b92989444083e9','session',5,2,1,300,1,'594 813 649',0,0,'strip','');
INSERT INTO "servings" VALUES('e4fcb4e914fa3585','session',6,3,1,300,1,'395 945 260',0,0,'strip','');
INSERT INTO "servings" VALUES('8a4d6f60094c6b4f','session',7,3,2,3600,1,'867 941 298',0,0,'strip','');
INSERT INTO "servings" VALUES('0883b87552e6ae0e','session',8,3,3,0,0,'864 968 691',1,0,'strip','');
INSERT INTO "servings" VALUES('159d6d96c3f36bfa','session',9,4,1,300,1,'850 721 812',0,0,'strip','');
INSERT INTO "servings" VALUES('58885387dab1b733','session',10,4,2,3600,1,'236 730 203',0,0,'strip','');
INSERT INTO "servings" VALUES('69799c3bc90d0dcc','session',11,4,3,0,0,'197 832 690',1,0,'strip','');
INSERT INTO "servings" VALUES('d2ed0538658869a0','alone',0,1,1,300,1,'513 516 862',0,0,'strip','');
INSERT INTO "servings" VALUES('10d32bdfe3f9aaa9','alone',1,1,2,300,2,'702 438 378',0,0,'strip','');
INSERT INTO "servings" VALUES('4b56948ae01e6c92','with null sets',0,1,1,300,1,'513 516 862',0,0,'strip','');
INSERT INTO "servings" VALUES('ac083ecf2a9395f1','with null sets',1,1,2,300,2,'702 438 378',0,0,'strip','');
INSERT INTO "servings" VALUES('05710379def915c8','with null sets',2,1,3,0,0,'263 716 562',1,0,'strip','');
INSERT INTO "servings" VALUES('840a0a36a0403bad','with null sets',3,2,1,300,1,'742 461 154',0,0,'strip','');
INSERT INTO "servings" VALUES('fa63951fe6816a1c','with null sets',4,2,2,300,2,'705 359 160',0,0,'strip','');
INSERT INTO "servings" VALUES('aeac8e030368a8f1','with null sets',5,2,3,0,0,'594 813 649',1,0,'strip','');
INSERT INTO "servings" VALUES('b6c1488365e2bc4a','with null sets',6,3,1,300,1,'395 945 260',0,0,'strip','');
INSERT INTO "servings" VALUES('57ef534ca36bdfd2','with null sets',7,3,2,300,2,'867 941 298',0,0,'strip','');
INSERT INTO "servings" VALUES('bc968b228791e1ec','with null sets',8,3,3,0,0,'864 968 691',1,0,'strip','');
INSERT INTO "servings" VALUES('b78e1f92f1be3e32','with null sets',9,4,1,300,1,'850 721 812',0,0,'strip','');
INSERT INTO "servings" VALUES('8b78a7c55d3fdd1e','with null sets',10,4,2,300,2,'236 730 203',0,0,'strip','');
INSERT INTO "servings" VALUES('23a404a457c85be6','with null sets',11,4,3,0,0,'197 832 690',1,0,'strip','');
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
INSERT INTO "sessions" VALUES('session','brief','trial-7','trial-8','{"value":{"ages":[{"seconds":300,"tolerance_seconds":30},{"seconds":3600,"tolerance_seconds":360}],"alpha":"0.05","asks_liking":false,"asks_nearer":true,"asks_strength":true,"beta":"0.05","brief_id":"brief","confirmed":[],"descriptor":"","descriptor_order":"fixed","descriptors":[],"expected":"","expected_order":[],"first_trial_id":"trial-7","left_out":["wrong strip","ruined strip","unblinded"],"look_every":0,"medium":"strip","method":"triangle","null_sets":0,"other_trial_ids":[],"pairs_each":0,"pd":"0.3","plain_difference":false,"primary":300,"prior":"flat","replicates":1,"resmell":false,"seats":[{"number":1,"panelist_id":"person-1"},{"number":2,"panelist_id":"person-2"},{"number":3,"panelist_id":"person-3"},{"number":4,"panelist_id":null}],"second_trial_id":"trial-8","skin_ages":[],"solo":false,"ties_allowed":true,"ties_rule":"drop","title":"Trial 7 against trial 8","warm_up":false,"zone":"UTC"},"version":1}','smelling',2000,1767168000001,'7d2924a0862710910159e8e2a9e0d1160066d51b1e9dd1fc6295a1ab83d89f2d','b337e1fe11ad2c60f557b892eb83989f29917501d50d6d9e202f2b924772e20c');
INSERT INTO "sessions" VALUES('alone','brief','trial-7','trial-8','{"value":{"ages":[{"seconds":300,"tolerance_seconds":30}],"alpha":"0.05","asks_liking":false,"asks_nearer":true,"asks_strength":true,"beta":"0.05","brief_id":"brief","confirmed":[],"descriptor":"","descriptor_order":"fixed","descriptors":[],"expected":"","expected_order":[],"first_trial_id":"trial-7","left_out":["wrong strip","ruined strip","unblinded"],"look_every":0,"medium":"strip","method":"triangle","null_sets":0,"other_trial_ids":[],"pairs_each":0,"pd":"0.3","plain_difference":false,"primary":300,"prior":"flat","replicates":2,"resmell":false,"seats":[{"number":1,"panelist_id":"person-1"}],"second_trial_id":"trial-8","skin_ages":[],"solo":true,"ties_allowed":true,"ties_rule":"drop","title":"Trial 7 against trial 8","warm_up":false,"zone":"UTC"},"version":1}','closed',2000,1767168000007,'26aaaec58b1ab1638dc15a3ea6554916427fb04864fb8b374b66c90dc035bf3f','8991c1ceb0d88fb6fcdf8fee997651314d81a7560ac8fa00050f4edc21d21a12');
INSERT INTO "sessions" VALUES('with null sets','brief','trial-7','trial-8','{"value":{"ages":[{"seconds":300,"tolerance_seconds":30}],"alpha":"0.05","asks_liking":false,"asks_nearer":true,"asks_strength":true,"beta":"0.05","brief_id":"brief","confirmed":[],"descriptor":"","descriptor_order":"fixed","descriptors":[],"expected":"","expected_order":[],"first_trial_id":"trial-7","left_out":["wrong strip","ruined strip","unblinded"],"look_every":0,"medium":"strip","method":"triangle","null_sets":1,"other_trial_ids":[],"pairs_each":0,"pd":"0.3","plain_difference":false,"primary":300,"prior":"flat","replicates":1,"resmell":false,"seats":[{"number":1,"panelist_id":"person-1"},{"number":2,"panelist_id":"person-2"},{"number":3,"panelist_id":"person-3"},{"number":4,"panelist_id":null}],"second_trial_id":"trial-8","skin_ages":[],"solo":false,"ties_allowed":true,"ties_rule":"drop","title":"Trial 7 against trial 8","warm_up":false,"zone":"UTC"},"version":1}','sealed',2000,1767168000014,'f041f3ec2e7b62f6fdc0cf92436b7acffae5986244867013daaacb6c2b684717','c01cd4e991155100bc41b01f21b73d803754e0955dfbf390b81edf8e5117101f');
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
CREATE INDEX ix_answers_drafts ON answers (ballot_id, serving_id) WHERE final = 0;
CREATE INDEX ix_brief_sheets_brief_id ON brief_sheets (brief_id);
CREATE INDEX ix_skin_limits_material_id ON skin_limits (material_id);
CREATE INDEX ix_skin_bars_trial_id ON skin_bars (trial_id);
CREATE INDEX ix_skin_facts_panelist_id ON skin_facts (panelist_id);
CREATE INDEX ix_patches_panelist_id ON patches (panelist_id);
CREATE INDEX ix_dips_session_id ON dips (session_id);
CREATE INDEX ix_stops_session_id ON stops (session_id);
COMMIT;
