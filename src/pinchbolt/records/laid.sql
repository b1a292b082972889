-- What all steps make of an empty file. Written by: python -m desk.laid
-- step contenttypes 0001_initial
-- step contenttypes 0002_remove_content_type_name
-- step auth 0001_initial
-- step auth 0002_alter_permission_name_max_length
-- step auth 0003_alter_user_email_max_length
-- step auth 0004_alter_user_username_opts
-- step auth 0005_alter_user_last_login_null
-- step auth 0006_require_contenttypes_0002
-- step auth 0007_alter_validators_add_error_messages
-- step auth 0008_alter_user_username_max_length
-- step auth 0009_alter_user_last_name_max_length
-- step auth 0010_alter_group_name_max_length
-- step auth 0011_update_proxy_permissions
-- step auth 0012_alter_user_first_name_max_length
-- step axes 0001_initial
-- step axes 0002_auto_20151217_2044
-- step axes 0003_auto_20160322_0929
-- step axes 0004_auto_20181024_1538
-- step axes 0005_remove_accessattempt_trusted
-- step axes 0006_remove_accesslog_trusted
-- step axes 0007_alter_accessattempt_unique_together
-- step axes 0008_accessfailurelog
-- step axes 0009_add_session_hash
-- step axes 0010_accessattemptexpiration
-- step records 0001_first
-- step records 0002_only_ever_added
-- step records 0003_bolts_read_and_rounds
-- step records 0004_bins_and_trainers
-- step records 0005_rides
-- step records 0006_parts_described
-- step records 0007_facts_of_parts
-- step records 0008_whose_rides
-- step records 0009_tables_not_seen
-- step records 0010_opening
-- step records 0011_look_answers
-- step records 0012_rides_owners_things
-- step records 0013_torque_bolt_heads
-- step records 0014_money_askings_and_bills
-- step records 0015_no_guessing
-- step records 0016_found_at_once
-- step records 0017_bill_buyers
-- step records 0018_owners
-- step records 0019_parts_and_tags
-- step records 0020_counted_at_once
-- step records 0021_words_and_signing
-- step records 0022_screw_sockets
-- step records 0023_owners_erased_from_wanted
-- step records 0024_gives_percent
-- step records 0025_wheels
-- step records 0026_api_tokens
-- step records 0027_once
-- step records 0028_parts_stock
-- step records 0029_given_over
-- step records 0030_now
-- step records 0031_proof
-- step records 0032_one_a_bike
-- step records 0033_counted_in_order
-- step records 0034_bolts_since_an_act
-- step sessions 0001_initial
CREATE TABLE "django_migrations" ("id" integer NOT NULL PRIMARY KEY AUTOINCREMENT, "app" varchar(255) NOT NULL, "name" varchar(255) NOT NULL, "applied" datetime NOT NULL);
CREATE TABLE "django_content_type" ("id" integer NOT NULL PRIMARY KEY AUTOINCREMENT, "app_label" varchar(100) NOT NULL, "model" varchar(100) NOT NULL);
CREATE UNIQUE INDEX "django_content_type_app_label_model_76bd3d3b_uniq" ON "django_content_type" ("app_label", "model");
CREATE TABLE "auth_group_permissions" ("id" integer NOT NULL PRIMARY KEY AUTOINCREMENT, "group_id" integer NOT NULL REFERENCES "auth_group" ("id") DEFERRABLE INITIALLY DEFERRED, "permission_id" integer NOT NULL REFERENCES "auth_permission" ("id") DEFERRABLE INITIALLY DEFERRED);
CREATE UNIQUE INDEX "auth_group_permissions_group_id_permission_id_0cd325b0_uniq" ON "auth_group_permissions" ("group_id", "permission_id");
CREATE INDEX "auth_group_permissions_group_id_b120cbf9" ON "auth_group_permissions" ("group_id");
CREATE INDEX "auth_group_permissions_permission_id_84c5c92e" ON "auth_group_permissions" ("permission_id");
CREATE TABLE "auth_permission" ("id" integer NOT NULL PRIMARY KEY AUTOINCREMENT, "content_type_id" integer NOT NULL REFERENCES "django_content_type" ("id") DEFERRABLE INITIALLY DEFERRED, "codename" varchar(100) NOT NULL, "name" varchar(255) NOT NULL);
CREATE UNIQUE INDEX "auth_permission_content_type_id_codename_01ab375a_uniq" ON "auth_permission" ("content_type_id", "codename");
CREATE INDEX "auth_permission_content_type_id_2f476e4b" ON "auth_permission" ("content_type_id");
CREATE TABLE "auth_group" ("id" integer NOT NULL PRIMARY KEY AUTOINCREMENT, "name" varchar(150) NOT NULL UNIQUE);
CREATE TABLE "axes_accessattempt" ("id" integer NOT NULL PRIMARY KEY AUTOINCREMENT, "user_agent" varchar(255) NOT NULL, "ip_address" char(39) NULL, "username" varchar(255) NULL, "http_accept" varchar(1025) NOT NULL, "path_info" varchar(255) NOT NULL, "attempt_time" datetime NOT NULL, "get_data" text NOT NULL, "post_data" text NOT NULL, "failures_since_start" integer unsigned NOT NULL CHECK ("failures_since_start" >= 0));
CREATE INDEX "axes_accessattempt_user_agent_ad89678b" ON "axes_accessattempt" ("user_agent");
CREATE INDEX "axes_accessattempt_ip_address_10922d9c" ON "axes_accessattempt" ("ip_address");
CREATE INDEX "axes_accessattempt_username_3f2d4ca0" ON "axes_accessattempt" ("username");
CREATE UNIQUE INDEX "axes_accessattempt_username_ip_address_user_agent_8ea22282_uniq" ON "axes_accessattempt" ("username", "ip_address", "user_agent");
CREATE TABLE "axes_accessfailurelog" ("id" integer NOT NULL PRIMARY KEY AUTOINCREMENT, "user_agent" varchar(255) NOT NULL, "ip_address" char(39) NULL, "username" varchar(255) NULL, "http_accept" varchar(1025) NOT NULL, "path_info" varchar(255) NOT NULL, "attempt_time" datetime NOT NULL, "locked_out" bool NOT NULL);
CREATE INDEX "axes_accessfailurelog_user_agent_ea145dda" ON "axes_accessfailurelog" ("user_agent");
CREATE INDEX "axes_accessfailurelog_ip_address_2e9f5a7f" ON "axes_accessfailurelog" ("ip_address");
CREATE INDEX "axes_accessfailurelog_username_a8b7e8a4" ON "axes_accessfailurelog" ("username");
CREATE TABLE "axes_accesslog" ("id" integer NOT NULL PRIMARY KEY AUTOINCREMENT, "user_agent" varchar(255) NOT NULL, "ip_address" char(39) NULL, "username" varchar(255) NULL, "http_accept" varchar(1025) NOT NULL, "path_info" varchar(255) NOT NULL, "attempt_time" datetime NOT NULL, "logout_time" datetime NULL, "session_hash" varchar(64) NOT NULL);
CREATE INDEX "axes_accesslog_user_agent_0e659004" ON "axes_accesslog" ("user_agent");
CREATE INDEX "axes_accesslog_ip_address_86b417e5" ON "axes_accesslog" ("ip_address");
CREATE INDEX "axes_accesslog_username_df93064b" ON "axes_accesslog" ("username");
CREATE TABLE "axes_accessattemptexpiration" ("access_attempt_id" integer NOT NULL PRIMARY KEY REFERENCES "axes_accessattempt" ("id") DEFERRABLE INITIALLY DEFERRED, "expires_at" datetime NOT NULL);
CREATE TABLE "records_instrument" ("id" integer NOT NULL PRIMARY KEY AUTOINCREMENT, "table_id" varchar(60) NOT NULL, "name" varchar(120) NOT NULL, "in_use" bool NOT NULL);
CREATE TABLE "records_tool" ("id" integer NOT NULL PRIMARY KEY AUTOINCREMENT, "table_id" varchar(60) NOT NULL, "name" varchar(120) NOT NULL, "hangs" varchar(60) NOT NULL, "in_use" bool NOT NULL, "arm_mm" real NULL);
CREATE TABLE "records_job" ("id" integer NOT NULL PRIMARY KEY AUTOINCREMENT, "opened_at" datetime NOT NULL, "owner_words" text NOT NULL, "seen_words" text NOT NULL, "left_with" varchar(200) NOT NULL, "promise" datetime NULL, "spend_limit" decimal NULL, "bike_id" bigint NOT NULL REFERENCES "records_bike" ("id") DEFERRABLE INITIALLY DEFERRED, "owner_id" bigint NULL REFERENCES "records_owner" ("id") DEFERRABLE INITIALLY DEFERRED);
CREATE TABLE "records_event" ("id" integer NOT NULL PRIMARY KEY AUTOINCREMENT, "at" datetime NOT NULL, "kind" varchar(40) NOT NULL, "key" varchar(80) NOT NULL UNIQUE, "fingerprint" varchar(64) NOT NULL, "said" text NOT NULL CHECK ((JSON_VALID("said") OR "said" IS NULL)), "by_id" bigint NOT NULL REFERENCES "records_person" ("id") DEFERRABLE INITIALLY DEFERRED, "corrects_id" bigint NULL REFERENCES "records_event" ("id") DEFERRABLE INITIALLY DEFERRED, "bike_id" bigint NULL REFERENCES "records_bike" ("id") DEFERRABLE INITIALLY DEFERRED, "job_id" bigint NULL REFERENCES "records_job" ("id") DEFERRABLE INITIALLY DEFERRED);
CREATE INDEX "records_job_bike_id_44d2ea0d" ON "records_job" ("bike_id");
CREATE INDEX "records_event_at_e005abb4" ON "records_event" ("at");
CREATE INDEX "records_event_kind_aac7f6ca" ON "records_event" ("kind");
CREATE INDEX "records_event_by_id_87d29f60" ON "records_event" ("by_id");
CREATE INDEX "records_event_corrects_id_ea8a0dcd" ON "records_event" ("corrects_id");
CREATE INDEX "records_event_bike_id_2a03c469" ON "records_event" ("bike_id");
CREATE INDEX "records_event_job_id_d7074d14" ON "records_event" ("job_id");
CREATE TABLE "records_instrumentcheck" ("event_id" bigint NOT NULL PRIMARY KEY REFERENCES "records_event" ("id") DEFERRABLE INITIALLY DEFERRED, "against" varchar(200) NOT NULL, "bias" real NULL, "unit" varchar(20) NOT NULL, "good" bool NOT NULL, "words" varchar(200) NOT NULL, "day" date NOT NULL, "instrument_id" bigint NOT NULL REFERENCES "records_instrument" ("id") DEFERRABLE INITIALLY DEFERRED);
CREATE TABLE "records_line" ("event_id" bigint NOT NULL PRIMARY KEY REFERENCES "records_event" ("id") DEFERRABLE INITIALLY DEFERRED, "operation" varchar(60) NOT NULL, "words" varchar(200) NOT NULL, "verdict" varchar(20) NOT NULL, "safety" bool NOT NULL, "parts" text NOT NULL CHECK ((JSON_VALID("parts") OR "parts" IS NULL)), "joints" text NOT NULL CHECK ((JSON_VALID("joints") OR "joints" IS NULL)), "cost_of_waiting" decimal NULL, "waiting_reasons" text NOT NULL CHECK ((JSON_VALID("waiting_reasons") OR "waiting_reasons" IS NULL)), "fit" text NULL CHECK ((JSON_VALID("fit") OR "fit" IS NULL)), "finding_id" bigint NULL REFERENCES "records_finding" ("event_id") DEFERRABLE INITIALLY DEFERRED, "job_id" bigint NOT NULL REFERENCES "records_job" ("id") DEFERRABLE INITIALLY DEFERRED, "count" smallint unsigned NULL CHECK ("count" >= 0), "place" varchar(20) NULL, "own_minutes" smallint unsigned NULL CHECK ("own_minutes" >= 0), "own_price" decimal NULL);
CREATE TABLE "records_answer" ("event_id" bigint NOT NULL PRIMARY KEY REFERENCES "records_event" ("id") DEFERRABLE INITIALLY DEFERRED, "agreed" bool NOT NULL, "how" varchar(40) NOT NULL, "words" varchar(200) NOT NULL, "line_id" bigint NOT NULL REFERENCES "records_line" ("event_id") DEFERRABLE INITIALLY DEFERRED, "asking" smallint unsigned NULL CHECK ("asking" >= 0), "said_by" varchar(120) NULL);
CREATE TABLE "records_listcheck" ("event_id" bigint NOT NULL PRIMARY KEY REFERENCES "records_event" ("id") DEFERRABLE INITIALLY DEFERRED, "item" varchar(60) NOT NULL, "met" bool NOT NULL, "second" bool NOT NULL, "words" varchar(200) NOT NULL, "job_id" bigint NOT NULL REFERENCES "records_job" ("id") DEFERRABLE INITIALLY DEFERRED, "unseen" bool NULL);
CREATE TABLE "records_marking" ("event_id" bigint NOT NULL PRIMARY KEY REFERENCES "records_event" ("id") DEFERRABLE INITIALLY DEFERRED, "joint" varchar(60) NOT NULL, "limit" varchar(60) NOT NULL, "part" varchar(60) NOT NULL, "greatest" real NULL, "least" real NULL, "bike_id" bigint NOT NULL REFERENCES "records_bike" ("id") DEFERRABLE INITIALLY DEFERRED, "target" real NULL, "on_part_id" bigint NULL REFERENCES "records_part" ("id") DEFERRABLE INITIALLY DEFERRED);
CREATE TABLE "records_finding" ("event_id" bigint NOT NULL PRIMARY KEY REFERENCES "records_event" ("id") DEFERRABLE INITIALLY DEFERRED, "limit" varchar(60) NOT NULL, "verdict" varchar(20) NOT NULL, "safety" bool NOT NULL, "words" varchar(400) NOT NULL, "forecast" text NULL CHECK ((JSON_VALID("forecast") OR "forecast" IS NULL)), "reasons" text NOT NULL CHECK ((JSON_VALID("reasons") OR "reasons" IS NULL)), "doubts" text NOT NULL CHECK ((JSON_VALID("doubts") OR "doubts" IS NULL)), "job_id" bigint NOT NULL REFERENCES "records_job" ("id") DEFERRABLE INITIALLY DEFERRED, "part_id" bigint NULL REFERENCES "records_part" ("id") DEFERRABLE INITIALLY DEFERRED, "reading_id" bigint NULL UNIQUE REFERENCES "records_reading" ("event_id") DEFERRABLE INITIALLY DEFERRED);
CREATE INDEX "records_instrumentcheck_instrument_id_65ea1f07" ON "records_instrumentcheck" ("instrument_id");
CREATE INDEX "records_line_finding_id_cdc51c76" ON "records_line" ("finding_id");
CREATE INDEX "records_line_job_id_ec57694e" ON "records_line" ("job_id");
CREATE INDEX "records_answer_line_id_b8a1d996" ON "records_answer" ("line_id");
CREATE INDEX "records_listcheck_job_id_8d36bd63" ON "records_listcheck" ("job_id");
CREATE INDEX "records_marking_bike_id_71b86701" ON "records_marking" ("bike_id");
CREATE INDEX "records_finding_job_id_0ddc1721" ON "records_finding" ("job_id");
CREATE INDEX "records_finding_part_id_2fd7b9e3" ON "records_finding" ("part_id");
CREATE TABLE "records_bike" ("id" integer NOT NULL PRIMARY KEY AUTOINCREMENT, "tag" varchar(12) NOT NULL UNIQUE, "kind" varchar(20) NOT NULL, "words" varchar(200) NOT NULL, "frame_number" varchar(60) NOT NULL, "speeds" smallint unsigned NULL CHECK ("speeds" >= 0), "use_class" varchar(20) NOT NULL, "km_a_week" real NULL, "school" varchar(5) NOT NULL, "template" varchar(60) NOT NULL, "facts" text NOT NULL CHECK ((JSON_VALID("facts") OR "facts" IS NULL)), "joints" text NOT NULL CHECK ((JSON_VALID("joints") OR "joints" IS NULL)), "note" text NOT NULL, "owner_id" bigint NOT NULL REFERENCES "records_owner" ("id") DEFERRABLE INITIALLY DEFERRED, "came_with_id" bigint NULL REFERENCES "records_owner" ("id") DEFERRABLE INITIALLY DEFERRED, CONSTRAINT "km_a_week_not_negative" CHECK (("km_a_week" IS NULL OR "km_a_week" >= 0.0)), CONSTRAINT "bike_school_known" CHECK ("school" IN ('', 'early', 'late')));
CREATE INDEX "records_bike_frame_number_c62eccc4" ON "records_bike" ("frame_number");
CREATE INDEX "records_bike_owner_id_55090d78" ON "records_bike" ("owner_id");
CREATE TABLE "records_distance" ("event_id" bigint NOT NULL PRIMARY KEY REFERENCES "records_event" ("id") DEFERRABLE INITIALLY DEFERRED, "start" date NOT NULL, "end" date NOT NULL, "km" real NOT NULL, "sd_share" real NOT NULL, "known" varchar(20) NOT NULL, "bike_id" bigint NULL REFERENCES "records_bike" ("id") DEFERRABLE INITIALLY DEFERRED, "trainer_id" bigint NULL REFERENCES "records_trainer" ("id") DEFERRABLE INITIALLY DEFERRED, CONSTRAINT "distance_km_sane" CHECK (("km" >= 0.0 AND "km" <= 200000.0)), CONSTRAINT "distance_ends_after_it_starts" CHECK ("end" >= ("start")), CONSTRAINT "distance_of_one_thing" CHECK ((("bike_id" IS NOT NULL AND "trainer_id" IS NULL) OR ("bike_id" IS NULL AND "trainer_id" IS NOT NULL))));
CREATE INDEX "records_distance_bike_id_e7b9982f" ON "records_distance" ("bike_id");
CREATE INDEX "records_distance_trainer_id_2a62c5ce" ON "records_distance" ("trainer_id");
CREATE TABLE "records_donevalue" ("event_id" bigint NOT NULL PRIMARY KEY REFERENCES "records_event" ("id") DEFERRABLE INITIALLY DEFERRED, "joint" varchar(60) NOT NULL, "set_n_m" real NULL, "done_n_m" real NULL, "by_hand" bool NOT NULL, "inside" bool NOT NULL, "words" varchar(300) NOT NULL, "job_id" bigint NOT NULL REFERENCES "records_job" ("id") DEFERRABLE INITIALLY DEFERRED, "tool_id" bigint NULL REFERENCES "records_tool" ("id") DEFERRABLE INITIALLY DEFERRED, CONSTRAINT "done_value_sane" CHECK (((NOT "by_hand" AND "done_n_m" > 0.0 AND "done_n_m" <= 300.0) OR ("by_hand" AND "done_n_m" IS NULL))));
CREATE INDEX "records_donevalue_job_id_2e228dba" ON "records_donevalue" ("job_id");
CREATE INDEX "records_donevalue_tool_id_f59a149d" ON "records_donevalue" ("tool_id");
CREATE TABLE "records_reading" ("event_id" bigint NOT NULL PRIMARY KEY REFERENCES "records_event" ("id") DEFERRABLE INITIALLY DEFERRED, "limit" varchar(60) NOT NULL, "place" varchar(120) NOT NULL, "low" real NULL, "high" real NULL, "word" varchar(3) NOT NULL, "unit" varchar(40) NOT NULL, "distance_km" real NULL, "distance_share" real NOT NULL, "distance_known" varchar(20) NOT NULL, "day" date NOT NULL, "day_is_guess" bool NOT NULL, "instrument_id" bigint NULL REFERENCES "records_instrument" ("id") DEFERRABLE INITIALLY DEFERRED, "job_id" bigint NULL REFERENCES "records_job" ("id") DEFERRABLE INITIALLY DEFERRED, "part_id" bigint NOT NULL REFERENCES "records_part" ("id") DEFERRABLE INITIALLY DEFERRED, CONSTRAINT "reading_ordered" CHECK (("low" IS NULL OR "high" IS NULL OR "high" >= ("low"))), CONSTRAINT "reading_distance_not_negative" CHECK (("distance_km" IS NULL OR "distance_km" >= 0.0)));
CREATE INDEX "records_reading_instrument_id_61db4ef2" ON "records_reading" ("instrument_id");
CREATE INDEX "records_reading_job_id_4691418a" ON "records_reading" ("job_id");
CREATE INDEX "records_reading_part_id_0bcad8d0" ON "records_reading" ("part_id");
CREATE TABLE "records_toolcheck" ("event_id" bigint NOT NULL PRIMARY KEY REFERENCES "records_event" ("id") DEFERRABLE INITIALLY DEFERRED, "day" date NOT NULL, "due" date NULL, "deviation" real NULL, "good" bool NOT NULL, "words" varchar(200) NOT NULL, "tool_id" bigint NOT NULL REFERENCES "records_tool" ("id") DEFERRABLE INITIALLY DEFERRED, CONSTRAINT "deviation_sane" CHECK (("deviation" IS NULL OR ("deviation" >= 0.0 AND "deviation" < 1.0))));
CREATE INDEX "records_toolcheck_tool_id_3d68eff9" ON "records_toolcheck" ("tool_id");
CREATE TRIGGER marking_no_update BEFORE UPDATE ON records_marking BEGIN SELECT RAISE(ABORT, 'what was written down is not changed or removed: add a correction'); END;
CREATE TRIGGER marking_no_delete BEFORE DELETE ON records_marking BEGIN SELECT RAISE(ABORT, 'what was written down is not changed or removed: add a correction'); END;
CREATE TRIGGER reading_no_update BEFORE UPDATE ON records_reading BEGIN SELECT RAISE(ABORT, 'what was written down is not changed or removed: add a correction'); END;
CREATE TRIGGER reading_no_delete BEFORE DELETE ON records_reading BEGIN SELECT RAISE(ABORT, 'what was written down is not changed or removed: add a correction'); END;
CREATE TRIGGER instrumentcheck_no_update BEFORE UPDATE ON records_instrumentcheck BEGIN SELECT RAISE(ABORT, 'what was written down is not changed or removed: add a correction'); END;
CREATE TRIGGER instrumentcheck_no_delete BEFORE DELETE ON records_instrumentcheck BEGIN SELECT RAISE(ABORT, 'what was written down is not changed or removed: add a correction'); END;
CREATE TRIGGER toolcheck_no_update BEFORE UPDATE ON records_toolcheck BEGIN SELECT RAISE(ABORT, 'what was written down is not changed or removed: add a correction'); END;
CREATE TRIGGER toolcheck_no_delete BEFORE DELETE ON records_toolcheck BEGIN SELECT RAISE(ABORT, 'what was written down is not changed or removed: add a correction'); END;
CREATE TABLE "records_bolt" ("event_id" bigint NOT NULL PRIMARY KEY REFERENCES "records_event" ("id") DEFERRABLE INITIALLY DEFERRED, "joint" varchar(60) NOT NULL, "property_class" varchar(30) NOT NULL, "preparation" varchar(30) NOT NULL, "bike_id" bigint NOT NULL REFERENCES "records_bike" ("id") DEFERRABLE INITIALLY DEFERRED, "on_part_id" bigint NULL REFERENCES "records_part" ("id") DEFERRABLE INITIALLY DEFERRED, "drive" varchar(40) NULL, "thread" varchar(20) NULL, "socket_mm" real NULL);
CREATE TABLE "records_roundtick" ("event_id" bigint NOT NULL PRIMARY KEY REFERENCES "records_event" ("id") DEFERRABLE INITIALLY DEFERRED, "joint" varchar(60) NOT NULL, "held" bool NOT NULL, "set_n_m" real NULL, "done_n_m" real NULL, "inside" bool NOT NULL, "words" varchar(300) NOT NULL, "day" date NOT NULL, "bike_id" bigint NOT NULL REFERENCES "records_bike" ("id") DEFERRABLE INITIALLY DEFERRED, "tool_id" bigint NULL REFERENCES "records_tool" ("id") DEFERRABLE INITIALLY DEFERRED, CONSTRAINT "round_tick_sane" CHECK (("done_n_m" IS NULL OR ("done_n_m" > 0.0 AND "done_n_m" <= 300.0))));
CREATE TRIGGER bolt_no_update BEFORE UPDATE ON records_bolt BEGIN SELECT RAISE(ABORT, 'what was written down is not changed or removed: add a correction'); END;
CREATE TRIGGER bolt_no_delete BEFORE DELETE ON records_bolt BEGIN SELECT RAISE(ABORT, 'what was written down is not changed or removed: add a correction'); END;
CREATE INDEX "records_bolt_bike_id_141024a1" ON "records_bolt" ("bike_id");
CREATE INDEX "records_roundtick_bike_id_5f18d9f8" ON "records_roundtick" ("bike_id");
CREATE INDEX "records_roundtick_tool_id_78bb4003" ON "records_roundtick" ("tool_id");
CREATE TABLE "records_trainer" ("id" integer NOT NULL PRIMARY KEY AUTOINCREMENT, "name" varchar(120) NOT NULL, "facts" text NOT NULL CHECK ((JSON_VALID("facts") OR "facts" IS NULL)), "owner_id" bigint NULL REFERENCES "records_owner" ("id") DEFERRABLE INITIALLY DEFERRED);
CREATE TABLE "records_rideplace" ("id" integer NOT NULL PRIMARY KEY AUTOINCREMENT, "how" varchar(30) NOT NULL, "bike_id" bigint NULL REFERENCES "records_bike" ("id") DEFERRABLE INITIALLY DEFERRED, "event_id" bigint NOT NULL REFERENCES "records_event" ("id") DEFERRABLE INITIALLY DEFERRED, "ride_id" bigint NOT NULL REFERENCES "records_ride" ("id") DEFERRABLE INITIALLY DEFERRED, "trainer_id" bigint NULL REFERENCES "records_trainer" ("id") DEFERRABLE INITIALLY DEFERRED, "owner_id" bigint NULL REFERENCES "records_owner" ("id") DEFERRABLE INITIALLY DEFERRED, "beside_id" bigint NULL REFERENCES "records_ride" ("id") DEFERRABLE INITIALLY DEFERRED, "sure" real NULL);
CREATE INDEX "records_rideplace_bike_id_7bd63ef2" ON "records_rideplace" ("bike_id");
CREATE INDEX "records_rideplace_event_id_7eaa70f4" ON "records_rideplace" ("event_id");
CREATE INDEX "records_rideplace_ride_id_90411f4b" ON "records_rideplace" ("ride_id");
CREATE INDEX "records_rideplace_trainer_id_ef4f931a" ON "records_rideplace" ("trainer_id");
CREATE TABLE "records_ride" ("id" integer NOT NULL PRIMARY KEY AUTOINCREMENT, "digest" varchar(64) NOT NULL, "number" integer unsigned NOT NULL CHECK ("number" >= 0), "form" varchar(4) NOT NULL, "start" datetime NOT NULL, "day" date NOT NULL, "elapsed_s" real NOT NULL, "moving_s" real NOT NULL, "distance_m" real NOT NULL, "distance_from" varchar(10) NOT NULL, "ascent_m" real NULL, "descent_m" real NULL, "energy_kj" real NULL, "work_kj" real NULL, "indoor" bool NULL, "device" varchar(120) NOT NULL, "device_mark" varchar(16) NOT NULL, "damaged" text NOT NULL CHECK ((JSON_VALID("damaged") OR "damaged" IS NULL)), "event_id" bigint NOT NULL REFERENCES "records_event" ("id") DEFERRABLE INITIALLY DEFERRED, "owner_id" bigint NOT NULL REFERENCES "records_owner" ("id") DEFERRABLE INITIALLY DEFERRED, "double_of_id" bigint NULL REFERENCES "records_ride" ("id") DEFERRABLE INITIALLY DEFERRED, "sport" varchar(60) NULL, CONSTRAINT "a_ride_comes_in_once" UNIQUE ("digest", "number"), CONSTRAINT "ride_sums_sane" CHECK (("distance_m" >= 0.0 AND "distance_m" <= 3000000.0 AND "elapsed_s" >= 0.0 AND "moving_s" >= 0.0)));
CREATE INDEX "records_ride_start_4997664d" ON "records_ride" ("start");
CREATE INDEX "records_ride_event_id_485fc986" ON "records_ride" ("event_id");
CREATE INDEX "records_ride_owner_id_5c32a7ca" ON "records_ride" ("owner_id");
CREATE INDEX "records_ride_double_of_id_230ef2de" ON "records_ride" ("double_of_id");
CREATE TABLE "records_part" ("id" integer NOT NULL PRIMARY KEY AUTOINCREMENT, "kind" varchar(60) NOT NULL, "place" varchar(20) NOT NULL, "words" varchar(200) NOT NULL, "specification" text NOT NULL CHECK ((JSON_VALID("specification") OR "specification" IS NULL)), "limits" text NOT NULL CHECK ((JSON_VALID("limits") OR "limits" IS NULL)), "deeper" text NOT NULL CHECK ((JSON_VALID("deeper") OR "deeper" IS NULL)), "start_facts" text NOT NULL CHECK ((JSON_VALID("start_facts") OR "start_facts" IS NULL)));
CREATE INDEX "records_marking_on_part_id_02e90198" ON "records_marking" ("on_part_id");
CREATE TABLE "records_partdescription" ("event_id" bigint NOT NULL PRIMARY KEY REFERENCES "records_event" ("id") DEFERRABLE INITIALLY DEFERRED, "facts" text NOT NULL CHECK ((JSON_VALID("facts") OR "facts" IS NULL)), "source" varchar(20) NOT NULL, "part_id" bigint NOT NULL REFERENCES "records_part" ("id") DEFERRABLE INITIALLY DEFERRED, CONSTRAINT "description_source_known" CHECK ("source" IN ('read off the part', 'measured', 'maker''s sheet', 'records', 'owner''s word', 'template', 'guess')));
CREATE TABLE "records_cornercheck" ("event_id" bigint NOT NULL PRIMARY KEY REFERENCES "records_event" ("id") DEFERRABLE INITIALLY DEFERRED, "corner" varchar(40) NOT NULL, "bike_id" bigint NOT NULL REFERENCES "records_bike" ("id") DEFERRABLE INITIALLY DEFERRED);
CREATE TRIGGER cornercheck_no_update BEFORE UPDATE ON records_cornercheck BEGIN SELECT RAISE(ABORT, 'what was written down is not changed or removed: add a correction'); END;
CREATE TRIGGER cornercheck_no_delete BEFORE DELETE ON records_cornercheck BEGIN SELECT RAISE(ABORT, 'what was written down is not changed or removed: add a correction'); END;
CREATE INDEX "records_partdescription_part_id_665de856" ON "records_partdescription" ("part_id");
CREATE INDEX "records_cornercheck_bike_id_2d2fa5fe" ON "records_cornercheck" ("bike_id");
CREATE INDEX "records_rideplace_owner_id_fa3965ea" ON "records_rideplace" ("owner_id");
CREATE INDEX "records_rideplace_beside_id_703927b8" ON "records_rideplace" ("beside_id");
CREATE TABLE "records_notseen" ("event_id" bigint NOT NULL PRIMARY KEY REFERENCES "records_event" ("id") DEFERRABLE INITIALLY DEFERRED, "limit" varchar(60) NOT NULL, "why" varchar(20) NOT NULL, "words" varchar(200) NOT NULL, "leaves" bool NOT NULL, "job_id" bigint NOT NULL REFERENCES "records_job" ("id") DEFERRABLE INITIALLY DEFERRED, "part_id" bigint NOT NULL REFERENCES "records_part" ("id") DEFERRABLE INITIALLY DEFERRED);
CREATE INDEX "records_notseen_job_id_b8d75595" ON "records_notseen" ("job_id");
CREATE INDEX "records_notseen_part_id_8888f990" ON "records_notseen" ("part_id");
CREATE TABLE "records_lookanswer" ("event_id" bigint NOT NULL PRIMARY KEY REFERENCES "records_event" ("id") DEFERRABLE INITIALLY DEFERRED, "look" varchar(80) NOT NULL, "answer" varchar(20) NOT NULL, "chance" real NULL, "card_id" bigint NOT NULL REFERENCES "records_event" ("id") DEFERRABLE INITIALLY DEFERRED, "job_id" bigint NOT NULL REFERENCES "records_job" ("id") DEFERRABLE INITIALLY DEFERRED, CONSTRAINT "look_answer_known" CHECK ("answer" IN ('sound', 'found', 'not looked at', 'could not see')));
CREATE TABLE "records_toldcomplaint" ("event_id" bigint NOT NULL PRIMARY KEY REFERENCES "records_event" ("id") DEFERRABLE INITIALLY DEFERRED, "complaint" varchar(60) NOT NULL, "job_id" bigint NOT NULL REFERENCES "records_job" ("id") DEFERRABLE INITIALLY DEFERRED);
CREATE TABLE "records_complainttest" ("event_id" bigint NOT NULL PRIMARY KEY REFERENCES "records_event" ("id") DEFERRABLE INITIALLY DEFERRED, "split" varchar(60) NOT NULL, "yes" bool NOT NULL, "told_id" bigint NOT NULL REFERENCES "records_toldcomplaint" ("event_id") DEFERRABLE INITIALLY DEFERRED);
CREATE TABLE "records_complaintclosed" ("event_id" bigint NOT NULL PRIMARY KEY REFERENCES "records_event" ("id") DEFERRABLE INITIALLY DEFERRED, "words" varchar(200) NOT NULL, "finding_id" bigint NULL REFERENCES "records_finding" ("event_id") DEFERRABLE INITIALLY DEFERRED, "told_id" bigint NOT NULL REFERENCES "records_toldcomplaint" ("event_id") DEFERRABLE INITIALLY DEFERRED);
CREATE TRIGGER lookanswer_no_update BEFORE UPDATE ON records_lookanswer BEGIN SELECT RAISE(ABORT, 'what was written down is not changed or removed: add a correction'); END;
CREATE TRIGGER lookanswer_no_delete BEFORE DELETE ON records_lookanswer BEGIN SELECT RAISE(ABORT, 'what was written down is not changed or removed: add a correction'); END;
CREATE TRIGGER toldcomplaint_no_update BEFORE UPDATE ON records_toldcomplaint BEGIN SELECT RAISE(ABORT, 'what was written down is not changed or removed: add a correction'); END;
CREATE TRIGGER toldcomplaint_no_delete BEFORE DELETE ON records_toldcomplaint BEGIN SELECT RAISE(ABORT, 'what was written down is not changed or removed: add a correction'); END;
CREATE TRIGGER complainttest_no_update BEFORE UPDATE ON records_complainttest BEGIN SELECT RAISE(ABORT, 'what was written down is not changed or removed: add a correction'); END;
CREATE TRIGGER complainttest_no_delete BEFORE DELETE ON records_complainttest BEGIN SELECT RAISE(ABORT, 'what was written down is not changed or removed: add a correction'); END;
CREATE INDEX "records_lookanswer_card_id_706eced2" ON "records_lookanswer" ("card_id");
CREATE INDEX "records_lookanswer_job_id_018b87e3" ON "records_lookanswer" ("job_id");
CREATE INDEX "records_toldcomplaint_job_id_1590a116" ON "records_toldcomplaint" ("job_id");
CREATE INDEX "records_complainttest_told_id_63a458a2" ON "records_complainttest" ("told_id");
CREATE INDEX "records_complaintclosed_finding_id_0cf1cd97" ON "records_complaintclosed" ("finding_id");
CREATE INDEX "records_complaintclosed_told_id_e34d48a8" ON "records_complaintclosed" ("told_id");
CREATE TABLE "records_peg" ("id" integer NOT NULL PRIMARY KEY AUTOINCREMENT, "words" varchar(120) NOT NULL, "owner_id" bigint NOT NULL REFERENCES "records_owner" ("id") DEFERRABLE INITIALLY DEFERRED);
CREATE TABLE "records_display" ("event_id" bigint NOT NULL PRIMARY KEY REFERENCES "records_event" ("id") DEFERRABLE INITIALLY DEFERRED, "what" varchar(20) NOT NULL, "value" real NOT NULL, "day" date NOT NULL, "bike_id" bigint NOT NULL REFERENCES "records_bike" ("id") DEFERRABLE INITIALLY DEFERRED, CONSTRAINT "display_shows_what_is_known" CHECK ("what" IN ('odometer', 'motor hours', 'charge cycles')), CONSTRAINT "display_sane" CHECK (("value" >= 0.0 AND "value" <= 1000000.0)));
CREATE INDEX "records_trainer_owner_id_4bb0f43a" ON "records_trainer" ("owner_id");
CREATE INDEX "records_peg_owner_id_7b969ed5" ON "records_peg" ("owner_id");
CREATE INDEX "records_display_bike_id_dd98cf5d" ON "records_display" ("bike_id");
CREATE TABLE "records_fitting" ("id" integer NOT NULL PRIMARY KEY AUTOINCREMENT, "start" date NOT NULL, "start_known" bool NOT NULL, "end" date NULL, "bike_id" bigint NULL REFERENCES "records_bike" ("id") DEFERRABLE INITIALLY DEFERRED, "part_id" bigint NOT NULL REFERENCES "records_part" ("id") DEFERRABLE INITIALLY DEFERRED, "wheel_id" bigint NULL REFERENCES "records_part" ("id") DEFERRABLE INITIALLY DEFERRED, "trainer_id" bigint NULL REFERENCES "records_trainer" ("id") DEFERRABLE INITIALLY DEFERRED, "gone_to" varchar(12) NOT NULL, "since_said" varchar(12) NOT NULL, "seen_from" date NULL, "peg_id" bigint NULL REFERENCES "records_peg" ("id") DEFERRABLE INITIALLY DEFERRED, CONSTRAINT "fitting_ends_after_it_starts" CHECK (("end" IS NULL OR "end" >= ("start"))), CONSTRAINT "gone_only_where_it_ended" CHECK (("gone_to" = '' OR ("gone_to" IN ('moved', 'bins', 'owner', 'scrap', 'never there') AND "end" IS NOT NULL))), CONSTRAINT "fitted_to_one_thing" CHECK ((("bike_id" IS NOT NULL AND "peg_id" IS NULL AND "trainer_id" IS NULL AND "wheel_id" IS NULL) OR ("bike_id" IS NULL AND "peg_id" IS NULL AND "trainer_id" IS NULL AND "wheel_id" IS NOT NULL) OR ("bike_id" IS NULL AND "peg_id" IS NULL AND "trainer_id" IS NOT NULL AND "wheel_id" IS NULL) OR ("bike_id" IS NULL AND "peg_id" IS NOT NULL AND "trainer_id" IS NULL AND "wheel_id" IS NULL))));
CREATE UNIQUE INDEX "part_fitted_once_at_a_time" ON "records_fitting" ("part_id") WHERE "end" IS NULL;
CREATE INDEX "records_fitting_bike_id_a030ac48" ON "records_fitting" ("bike_id");
CREATE INDEX "records_fitting_part_id_0b3d58b8" ON "records_fitting" ("part_id");
CREATE INDEX "records_fitting_wheel_id_67ecd2f3" ON "records_fitting" ("wheel_id");
CREATE INDEX "records_fitting_trainer_id_e7147f54" ON "records_fitting" ("trainer_id");
CREATE INDEX "records_fitting_peg_id_1140b3d1" ON "records_fitting" ("peg_id");
CREATE TRIGGER display_no_update BEFORE UPDATE ON records_display BEGIN SELECT RAISE(ABORT, 'what was written down is not changed or removed: add a correction'); END;
CREATE TRIGGER display_no_delete BEFORE DELETE ON records_display BEGIN SELECT RAISE(ABORT, 'what was written down is not changed or removed: add a correction'); END;
CREATE INDEX "records_bolt_on_part_id_507e0f9e" ON "records_bolt" ("on_part_id");
CREATE TABLE "records_paper" ("id" integer NOT NULL PRIMARY KEY AUTOINCREMENT, "name" varchar(80) NOT NULL UNIQUE, "at" datetime NOT NULL, "pdf" BLOB NOT NULL);
CREATE TABLE "records_senttext" ("event_id" bigint NOT NULL PRIMARY KEY REFERENCES "records_event" ("id") DEFERRABLE INITIALLY DEFERRED, "text" text NOT NULL);
CREATE TABLE "records_taxrate" ("event_id" bigint NOT NULL PRIMARY KEY REFERENCES "records_event" ("id") DEFERRABLE INITIALLY DEFERRED, "tax_class" varchar(20) NOT NULL, "percent" decimal NOT NULL, "from_day" date NOT NULL, CONSTRAINT "tax_rate_sane" CHECK (("percent" >= '0' AND "percent" < '100')));
CREATE TRIGGER taxrate_no_update BEFORE UPDATE ON records_taxrate BEGIN SELECT RAISE(ABORT, 'what was written down is not changed or removed: add a correction'); END;
CREATE TRIGGER taxrate_no_delete BEFORE DELETE ON records_taxrate BEGIN SELECT RAISE(ABORT, 'what was written down is not changed or removed: add a correction'); END;
CREATE INDEX "event_of_bike_by_kind" ON "records_event" ("bike_id", "kind", "id");
CREATE TABLE "records_billbuyer" ("bill_id" bigint NOT NULL PRIMARY KEY REFERENCES "records_bill" ("event_id") DEFERRABLE INITIALLY DEFERRED, "name" varchar(120) NOT NULL);
CREATE TABLE "records_bill" ("event_id" bigint NOT NULL PRIMARY KEY REFERENCES "records_event" ("id") DEFERRABLE INITIALLY DEFERRED, "year" smallint unsigned NOT NULL CHECK ("year" >= 0), "number" integer unsigned NOT NULL CHECK ("number" >= 0), "issued" date NOT NULL, "supplied" date NOT NULL, "said" text NOT NULL CHECK ((JSON_VALID("said") OR "said" IS NULL)), "job_id" bigint NOT NULL REFERENCES "records_job" ("id") DEFERRABLE INITIALLY DEFERRED, "reverses_id" bigint NULL UNIQUE REFERENCES "records_bill" ("event_id") DEFERRABLE INITIALLY DEFERRED, CONSTRAINT "bill_number_once" UNIQUE ("year", "number"), CONSTRAINT "bill_number_from_one" CHECK ("number" >= 1));
CREATE INDEX "records_bill_job_id_21a3dde5" ON "records_bill" ("job_id");
CREATE TRIGGER bill_no_update BEFORE UPDATE ON records_bill BEGIN SELECT RAISE(ABORT, 'what was written down is not changed or removed: add a correction'); END;
CREATE TRIGGER bill_no_delete BEFORE DELETE ON records_bill BEGIN SELECT RAISE(ABORT, 'what was written down is not changed or removed: add a correction'); END;
CREATE TABLE "records_erasing" ("owner_id" bigint NOT NULL PRIMARY KEY REFERENCES "records_owner" ("id") DEFERRABLE INITIALLY DEFERRED);
CREATE TABLE "records_lookup" ("owner_id" bigint NOT NULL PRIMARY KEY REFERENCES "records_owner" ("id") DEFERRABLE INITIALLY DEFERRED, "words" text NOT NULL);
CREATE INDEX "records_bike_came_with_id_70d7bec5" ON "records_bike" ("came_with_id");
CREATE TABLE "records_owner" ("id" integer NOT NULL PRIMARY KEY AUTOINCREMENT, "name" varchar(120) NOT NULL, "reach" varchar(200) NOT NULL, "phone" varchar(40) NOT NULL, "spend_limit" decimal NULL, "address" varchar(300) NOT NULL, "belongs_to" varchar(120) NOT NULL, "called" varchar(60) NOT NULL, "erased_at" datetime NULL, "language" varchar(40) NOT NULL, "may_say_yes" varchar(200) NOT NULL, "not_after" varchar(5) NOT NULL, "not_before" varchar(5) NOT NULL, "note" text NOT NULL, "their_number" varchar(60) NOT NULL, "ways" text NOT NULL CHECK ((JSON_VALID("ways") OR "ways" IS NULL)), "merged_into_id" bigint NULL REFERENCES "records_owner" ("id") DEFERRABLE INITIALLY DEFERRED);
CREATE INDEX "records_owner_merged_into_id_e0d6c677" ON "records_owner" ("merged_into_id");
CREATE TABLE "records_ownerwords" ("event_id" bigint NOT NULL PRIMARY KEY REFERENCES "records_event" ("id") DEFERRABLE INITIALLY DEFERRED, "changes" text NOT NULL CHECK ((JSON_VALID("changes") OR "changes" IS NULL)), "owner_id" bigint NOT NULL REFERENCES "records_owner" ("id") DEFERRABLE INITIALLY DEFERRED);
CREATE TABLE "records_consent" ("event_id" bigint NOT NULL PRIMARY KEY REFERENCES "records_event" ("id") DEFERRABLE INITIALLY DEFERRED, "about" varchar(20) NOT NULL, "by_way" varchar(20) NOT NULL, "yes" bool NOT NULL, "day" date NOT NULL, "how" varchar(40) NOT NULL, "owner_id" bigint NOT NULL REFERENCES "records_owner" ("id") DEFERRABLE INITIALLY DEFERRED, CONSTRAINT "consent_about_known" CHECK ("about" IN ('call-backs', 'news')), CONSTRAINT "consent_way_known" CHECK ("by_way" IN ('text', 'e-mail', 'letter', 'phone')));
CREATE TRIGGER event_no_update BEFORE UPDATE ON records_event WHEN NOT EXISTS (SELECT 1 FROM records_erasing) BEGIN SELECT RAISE(ABORT, 'what was written down is not changed or removed: add a correction'); END;
CREATE TRIGGER event_no_delete BEFORE DELETE ON records_event WHEN NOT EXISTS (SELECT 1 FROM records_erasing) BEGIN SELECT RAISE(ABORT, 'what was written down is not changed or removed: add a correction'); END;
CREATE TRIGGER distance_no_update BEFORE UPDATE ON records_distance WHEN NOT EXISTS (SELECT 1 FROM records_erasing) BEGIN SELECT RAISE(ABORT, 'what was written down is not changed or removed: add a correction'); END;
CREATE TRIGGER distance_no_delete BEFORE DELETE ON records_distance WHEN NOT EXISTS (SELECT 1 FROM records_erasing) BEGIN SELECT RAISE(ABORT, 'what was written down is not changed or removed: add a correction'); END;
CREATE TRIGGER finding_no_update BEFORE UPDATE ON records_finding WHEN NOT EXISTS (SELECT 1 FROM records_erasing) BEGIN SELECT RAISE(ABORT, 'what was written down is not changed or removed: add a correction'); END;
CREATE TRIGGER finding_no_delete BEFORE DELETE ON records_finding WHEN NOT EXISTS (SELECT 1 FROM records_erasing) BEGIN SELECT RAISE(ABORT, 'what was written down is not changed or removed: add a correction'); END;
CREATE TRIGGER line_no_update BEFORE UPDATE ON records_line WHEN NOT EXISTS (SELECT 1 FROM records_erasing) BEGIN SELECT RAISE(ABORT, 'what was written down is not changed or removed: add a correction'); END;
CREATE TRIGGER line_no_delete BEFORE DELETE ON records_line WHEN NOT EXISTS (SELECT 1 FROM records_erasing) BEGIN SELECT RAISE(ABORT, 'what was written down is not changed or removed: add a correction'); END;
CREATE TRIGGER answer_no_update BEFORE UPDATE ON records_answer WHEN NOT EXISTS (SELECT 1 FROM records_erasing) BEGIN SELECT RAISE(ABORT, 'what was written down is not changed or removed: add a correction'); END;
CREATE TRIGGER answer_no_delete BEFORE DELETE ON records_answer WHEN NOT EXISTS (SELECT 1 FROM records_erasing) BEGIN SELECT RAISE(ABORT, 'what was written down is not changed or removed: add a correction'); END;
CREATE TRIGGER listcheck_no_update BEFORE UPDATE ON records_listcheck WHEN NOT EXISTS (SELECT 1 FROM records_erasing) BEGIN SELECT RAISE(ABORT, 'what was written down is not changed or removed: add a correction'); END;
CREATE TRIGGER listcheck_no_delete BEFORE DELETE ON records_listcheck WHEN NOT EXISTS (SELECT 1 FROM records_erasing) BEGIN SELECT RAISE(ABORT, 'what was written down is not changed or removed: add a correction'); END;
CREATE TRIGGER donevalue_no_update BEFORE UPDATE ON records_donevalue WHEN NOT EXISTS (SELECT 1 FROM records_erasing) BEGIN SELECT RAISE(ABORT, 'what was written down is not changed or removed: add a correction'); END;
CREATE TRIGGER donevalue_no_delete BEFORE DELETE ON records_donevalue WHEN NOT EXISTS (SELECT 1 FROM records_erasing) BEGIN SELECT RAISE(ABORT, 'what was written down is not changed or removed: add a correction'); END;
CREATE TRIGGER roundtick_no_update BEFORE UPDATE ON records_roundtick WHEN NOT EXISTS (SELECT 1 FROM records_erasing) BEGIN SELECT RAISE(ABORT, 'what was written down is not changed or removed: add a correction'); END;
CREATE TRIGGER roundtick_no_delete BEFORE DELETE ON records_roundtick WHEN NOT EXISTS (SELECT 1 FROM records_erasing) BEGIN SELECT RAISE(ABORT, 'what was written down is not changed or removed: add a correction'); END;
CREATE TRIGGER notseen_no_update BEFORE UPDATE ON records_notseen WHEN NOT EXISTS (SELECT 1 FROM records_erasing) BEGIN SELECT RAISE(ABORT, 'what was written down is not changed or removed: add a correction'); END;
CREATE TRIGGER notseen_no_delete BEFORE DELETE ON records_notseen WHEN NOT EXISTS (SELECT 1 FROM records_erasing) BEGIN SELECT RAISE(ABORT, 'what was written down is not changed or removed: add a correction'); END;
CREATE TRIGGER partdescription_no_update BEFORE UPDATE ON records_partdescription WHEN NOT EXISTS (SELECT 1 FROM records_erasing) BEGIN SELECT RAISE(ABORT, 'what was written down is not changed or removed: add a correction'); END;
CREATE TRIGGER partdescription_no_delete BEFORE DELETE ON records_partdescription WHEN NOT EXISTS (SELECT 1 FROM records_erasing) BEGIN SELECT RAISE(ABORT, 'what was written down is not changed or removed: add a correction'); END;
CREATE TRIGGER complaintclosed_no_update BEFORE UPDATE ON records_complaintclosed WHEN NOT EXISTS (SELECT 1 FROM records_erasing) BEGIN SELECT RAISE(ABORT, 'what was written down is not changed or removed: add a correction'); END;
CREATE TRIGGER complaintclosed_no_delete BEFORE DELETE ON records_complaintclosed WHEN NOT EXISTS (SELECT 1 FROM records_erasing) BEGIN SELECT RAISE(ABORT, 'what was written down is not changed or removed: add a correction'); END;
CREATE TRIGGER ride_no_update BEFORE UPDATE ON records_ride WHEN NOT EXISTS (SELECT 1 FROM records_erasing) BEGIN SELECT RAISE(ABORT, 'what was written down is not changed or removed: add a correction'); END;
CREATE TRIGGER ride_no_delete BEFORE DELETE ON records_ride WHEN NOT EXISTS (SELECT 1 FROM records_erasing) BEGIN SELECT RAISE(ABORT, 'what was written down is not changed or removed: add a correction'); END;
CREATE TRIGGER rideplace_no_update BEFORE UPDATE ON records_rideplace WHEN NOT EXISTS (SELECT 1 FROM records_erasing) BEGIN SELECT RAISE(ABORT, 'what was written down is not changed or removed: add a correction'); END;
CREATE TRIGGER rideplace_no_delete BEFORE DELETE ON records_rideplace WHEN NOT EXISTS (SELECT 1 FROM records_erasing) BEGIN SELECT RAISE(ABORT, 'what was written down is not changed or removed: add a correction'); END;
CREATE INDEX "records_ownerwords_owner_id_75c27352" ON "records_ownerwords" ("owner_id");
CREATE INDEX "records_consent_owner_id_fdea02aa" ON "records_consent" ("owner_id");
CREATE TABLE "records_supplier" ("id" integer NOT NULL PRIMARY KEY AUTOINCREMENT, "name" varchar(120) NOT NULL UNIQUE, "phone" varchar(40) NOT NULL, "how" varchar(200) NOT NULL, "our_number" varchar(60) NOT NULL, "days" smallint unsigned NULL CHECK ("days" >= 0), "note" varchar(400) NOT NULL, "carriage" decimal NULL, "free_from" decimal NULL, "least_order" decimal NULL);
CREATE TABLE "records_binmove" ("id" integer NOT NULL PRIMARY KEY AUTOINCREMENT, "count" integer NOT NULL, "why" varchar(40) NOT NULL, "event_id" bigint NULL REFERENCES "records_event" ("id") DEFERRABLE INITIALLY DEFERRED, "line_id" bigint NULL REFERENCES "records_line" ("event_id") DEFERRABLE INITIALLY DEFERRED, "part_id" bigint NOT NULL REFERENCES "records_binpart" ("id") DEFERRABLE INITIALLY DEFERRED);
CREATE TABLE "records_earliertag" ("event_id" bigint NOT NULL PRIMARY KEY REFERENCES "records_event" ("id") DEFERRABLE INITIALLY DEFERRED, "tag" varchar(12) NOT NULL, "bike_id" bigint NOT NULL REFERENCES "records_bike" ("id") DEFERRABLE INITIALLY DEFERRED);
CREATE TABLE "records_wantedpart" ("event_id" bigint NOT NULL PRIMARY KEY REFERENCES "records_event" ("id") DEFERRABLE INITIALLY DEFERRED, "part" smallint unsigned NULL CHECK ("part" >= 0), "words" varchar(200) NOT NULL, "count" smallint unsigned NOT NULL CHECK ("count" >= 0), "number" varchar(60) NOT NULL, "bin_part_id" bigint NULL REFERENCES "records_binpart" ("id") DEFERRABLE INITIALLY DEFERRED, "job_id" bigint NULL REFERENCES "records_job" ("id") DEFERRABLE INITIALLY DEFERRED, "line_id" bigint NULL REFERENCES "records_line" ("event_id") DEFERRABLE INITIALLY DEFERRED, CONSTRAINT "wanted_counted" CHECK ("count" >= 1));
CREATE INDEX "records_binmove_event_id_9c6cf483" ON "records_binmove" ("event_id");
CREATE INDEX "records_binmove_line_id_86a345b0" ON "records_binmove" ("line_id");
CREATE INDEX "records_binmove_part_id_f1c9fb93" ON "records_binmove" ("part_id");
CREATE INDEX "records_earliertag_tag_f53d1095" ON "records_earliertag" ("tag");
CREATE INDEX "records_earliertag_bike_id_eeecfa09" ON "records_earliertag" ("bike_id");
CREATE INDEX "records_wantedpart_bin_part_id_f9582e8b" ON "records_wantedpart" ("bin_part_id");
CREATE INDEX "records_wantedpart_job_id_6d243c0d" ON "records_wantedpart" ("job_id");
CREATE INDEX "records_wantedpart_line_id_ed449aa0" ON "records_wantedpart" ("line_id");
CREATE TABLE "records_wantedmove" ("event_id" bigint NOT NULL PRIMARY KEY REFERENCES "records_event" ("id") DEFERRABLE INITIALLY DEFERRED, "state" varchar(20) NOT NULL, "price" decimal NULL, "due" date NULL, "count" smallint unsigned NULL CHECK ("count" >= 0), "words" varchar(200) NOT NULL, "supplier_id" bigint NULL REFERENCES "records_supplier" ("id") DEFERRABLE INITIALLY DEFERRED, "wanted_id" bigint NOT NULL REFERENCES "records_wantedpart" ("event_id") DEFERRABLE INITIALLY DEFERRED, CONSTRAINT "wanted_state_known" CHECK ("state" IN ('ordered', 'late', 'arrived', 'from the bins', 'wrong', 'sent back', 'credited', 'kept for the bins', 'given to the owner', 'not wanted', 'fitted')));
CREATE INDEX "records_wantedmove_supplier_id_ff5f81ef" ON "records_wantedmove" ("supplier_id");
CREATE INDEX "records_wantedmove_wanted_id_9f9f901a" ON "records_wantedmove" ("wanted_id");
CREATE TABLE "records_photo" ("event_id" bigint NOT NULL PRIMARY KEY REFERENCES "records_event" ("id") DEFERRABLE INITIALLY DEFERRED, "about" varchar(20) NOT NULL, "jpeg" BLOB NOT NULL, "job_id" bigint NOT NULL REFERENCES "records_job" ("id") DEFERRABLE INITIALLY DEFERRED);
CREATE TRIGGER earliertag_no_update BEFORE UPDATE ON records_earliertag BEGIN SELECT RAISE(ABORT, 'what was written down is not changed or removed: add a correction'); END;
CREATE TRIGGER earliertag_no_delete BEFORE DELETE ON records_earliertag BEGIN SELECT RAISE(ABORT, 'what was written down is not changed or removed: add a correction'); END;
CREATE TRIGGER binmove_no_update BEFORE UPDATE ON records_binmove BEGIN SELECT RAISE(ABORT, 'what was written down is not changed or removed: add a correction'); END;
CREATE TRIGGER binmove_no_delete BEFORE DELETE ON records_binmove BEGIN SELECT RAISE(ABORT, 'what was written down is not changed or removed: add a correction'); END;
CREATE INDEX "records_photo_job_id_669af749" ON "records_photo" ("job_id");
CREATE TABLE "records_person" ("id" integer NOT NULL PRIMARY KEY AUTOINCREMENT, "password" varchar(128) NOT NULL, "last_login" datetime NULL, "sign_in" varchar(40) NOT NULL UNIQUE, "name" varchar(120) NOT NULL, "role" varchar(30) NOT NULL, "stand" smallint unsigned NULL CHECK ("stand" >= 0), "pin" varchar(128) NOT NULL, "is_active" bool NOT NULL, "may_sign" bool NOT NULL, "gives_percent" smallint unsigned NULL CHECK ("gives_percent" >= 0));
CREATE TRIGGER wantedpart_no_update BEFORE UPDATE ON records_wantedpart WHEN NOT EXISTS (SELECT 1 FROM records_erasing) BEGIN SELECT RAISE(ABORT, 'what was written down is not changed or removed: add a correction'); END;
CREATE TRIGGER wantedpart_no_delete BEFORE DELETE ON records_wantedpart WHEN NOT EXISTS (SELECT 1 FROM records_erasing) BEGIN SELECT RAISE(ABORT, 'what was written down is not changed or removed: add a correction'); END;
CREATE TRIGGER wantedmove_no_update BEFORE UPDATE ON records_wantedmove WHEN NOT EXISTS (SELECT 1 FROM records_erasing) BEGIN SELECT RAISE(ABORT, 'what was written down is not changed or removed: add a correction'); END;
CREATE TRIGGER wantedmove_no_delete BEFORE DELETE ON records_wantedmove WHEN NOT EXISTS (SELECT 1 FROM records_erasing) BEGIN SELECT RAISE(ABORT, 'what was written down is not changed or removed: add a correction'); END;
CREATE TABLE "records_metercheck" ("event_id" bigint NOT NULL PRIMARY KEY REFERENCES "records_event" ("id") DEFERRABLE INITIALLY DEFERRED, "spoke_kind" varchar(60) NOT NULL, "mass_kg" real NOT NULL, "shown" real NOT NULL, "out" real NOT NULL, "good" bool NOT NULL, "words" varchar(200) NOT NULL, "day" date NOT NULL, "tool_id" bigint NOT NULL REFERENCES "records_tool" ("id") DEFERRABLE INITIALLY DEFERRED);
CREATE TABLE "records_metertable" ("event_id" bigint NOT NULL PRIMARY KEY REFERENCES "records_event" ("id") DEFERRABLE INITIALLY DEFERRED, "spoke_kind" varchar(60) NOT NULL, "points" text NOT NULL CHECK ((JSON_VALID("points") OR "points" IS NULL)), "tool_id" bigint NOT NULL REFERENCES "records_tool" ("id") DEFERRABLE INITIALLY DEFERRED);
CREATE TABLE "records_spokesheard" ("event_id" bigint NOT NULL PRIMARY KEY REFERENCES "records_event" ("id") DEFERRABLE INITIALLY DEFERRED, "pitches" text NOT NULL CHECK ((JSON_VALID("pitches") OR "pitches" IS NULL)), "job_id" bigint NOT NULL REFERENCES "records_job" ("id") DEFERRABLE INITIALLY DEFERRED, "part_id" bigint NOT NULL REFERENCES "records_part" ("id") DEFERRABLE INITIALLY DEFERRED);
CREATE TABLE "records_wheelsaid" ("event_id" bigint NOT NULL PRIMARY KEY REFERENCES "records_event" ("id") DEFERRABLE INITIALLY DEFERRED, "facts" text NOT NULL CHECK ((JSON_VALID("facts") OR "facts" IS NULL)), "part_id" bigint NOT NULL REFERENCES "records_part" ("id") DEFERRABLE INITIALLY DEFERRED);
CREATE TABLE "records_brokenspoke" ("event_id" bigint NOT NULL PRIMARY KEY REFERENCES "records_event" ("id") DEFERRABLE INITIALLY DEFERRED, "spoke" smallint unsigned NULL CHECK ("spoke" >= 0), "at" varchar(20) NOT NULL, "distance_km" real NULL, "known" varchar(20) NOT NULL, "part_id" bigint NOT NULL REFERENCES "records_part" ("id") DEFERRABLE INITIALLY DEFERRED, CONSTRAINT "spoke_broke_at_known" CHECK ("at" IN ('elbow', 'thread', 'middle', 'nipple', 'rim hole', 'hub flange')));
CREATE TABLE "records_nippleturn" ("event_id" bigint NOT NULL PRIMARY KEY REFERENCES "records_event" ("id") DEFERRABLE INITIALLY DEFERRED, "spoke" smallint unsigned NOT NULL CHECK ("spoke" >= 0), "quarters" smallint NOT NULL, "reading_id" bigint NOT NULL REFERENCES "records_event" ("id") DEFERRABLE INITIALLY DEFERRED, CONSTRAINT "quarters_sane" CHECK (("quarters" >= -12 AND "quarters" <= 12)));
CREATE TABLE "records_wheelreading" ("event_id" bigint NOT NULL PRIMARY KEY REFERENCES "records_event" ("id") DEFERRABLE INITIALLY DEFERRED, "how" varchar(20) NOT NULL, "spokes" text NOT NULL CHECK ((JSON_VALID("spokes") OR "spokes" IS NULL)), "dish" real NULL, "tension_sd" real NOT NULL, "job_id" bigint NOT NULL REFERENCES "records_job" ("id") DEFERRABLE INITIALLY DEFERRED, "part_id" bigint NOT NULL REFERENCES "records_part" ("id") DEFERRABLE INITIALLY DEFERRED, "tool_id" bigint NULL REFERENCES "records_tool" ("id") DEFERRABLE INITIALLY DEFERRED, CONSTRAINT "wheel_read_how_known" CHECK ("how" IN ('meter', 'newton', 'ear')));
CREATE TRIGGER wheelsaid_no_update BEFORE UPDATE ON records_wheelsaid BEGIN SELECT RAISE(ABORT, 'what was written down is not changed or removed: add a correction'); END;
CREATE TRIGGER wheelsaid_no_delete BEFORE DELETE ON records_wheelsaid BEGIN SELECT RAISE(ABORT, 'what was written down is not changed or removed: add a correction'); END;
CREATE TRIGGER wheelreading_no_update BEFORE UPDATE ON records_wheelreading BEGIN SELECT RAISE(ABORT, 'what was written down is not changed or removed: add a correction'); END;
CREATE TRIGGER wheelreading_no_delete BEFORE DELETE ON records_wheelreading BEGIN SELECT RAISE(ABORT, 'what was written down is not changed or removed: add a correction'); END;
CREATE TRIGGER nippleturn_no_update BEFORE UPDATE ON records_nippleturn BEGIN SELECT RAISE(ABORT, 'what was written down is not changed or removed: add a correction'); END;
CREATE TRIGGER nippleturn_no_delete BEFORE DELETE ON records_nippleturn BEGIN SELECT RAISE(ABORT, 'what was written down is not changed or removed: add a correction'); END;
CREATE TRIGGER spokesheard_no_update BEFORE UPDATE ON records_spokesheard BEGIN SELECT RAISE(ABORT, 'what was written down is not changed or removed: add a correction'); END;
CREATE TRIGGER spokesheard_no_delete BEFORE DELETE ON records_spokesheard BEGIN SELECT RAISE(ABORT, 'what was written down is not changed or removed: add a correction'); END;
CREATE TRIGGER brokenspoke_no_update BEFORE UPDATE ON records_brokenspoke BEGIN SELECT RAISE(ABORT, 'what was written down is not changed or removed: add a correction'); END;
CREATE TRIGGER brokenspoke_no_delete BEFORE DELETE ON records_brokenspoke BEGIN SELECT RAISE(ABORT, 'what was written down is not changed or removed: add a correction'); END;
CREATE TRIGGER metertable_no_update BEFORE UPDATE ON records_metertable BEGIN SELECT RAISE(ABORT, 'what was written down is not changed or removed: add a correction'); END;
CREATE TRIGGER metertable_no_delete BEFORE DELETE ON records_metertable BEGIN SELECT RAISE(ABORT, 'what was written down is not changed or removed: add a correction'); END;
CREATE TRIGGER metercheck_no_update BEFORE UPDATE ON records_metercheck BEGIN SELECT RAISE(ABORT, 'what was written down is not changed or removed: add a correction'); END;
CREATE TRIGGER metercheck_no_delete BEFORE DELETE ON records_metercheck BEGIN SELECT RAISE(ABORT, 'what was written down is not changed or removed: add a correction'); END;
CREATE INDEX "records_metercheck_tool_id_b961b2f9" ON "records_metercheck" ("tool_id");
CREATE INDEX "records_metertable_tool_id_4ad9a49b" ON "records_metertable" ("tool_id");
CREATE INDEX "records_spokesheard_job_id_422f3970" ON "records_spokesheard" ("job_id");
CREATE INDEX "records_spokesheard_part_id_f4b0555e" ON "records_spokesheard" ("part_id");
CREATE INDEX "records_wheelsaid_part_id_1f627202" ON "records_wheelsaid" ("part_id");
CREATE INDEX "records_brokenspoke_part_id_488f5d71" ON "records_brokenspoke" ("part_id");
CREATE INDEX "records_nippleturn_reading_id_43e02c1a" ON "records_nippleturn" ("reading_id");
CREATE INDEX "records_wheelreading_job_id_29597126" ON "records_wheelreading" ("job_id");
CREATE INDEX "records_wheelreading_part_id_b7de3b36" ON "records_wheelreading" ("part_id");
CREATE INDEX "records_wheelreading_tool_id_fba9b011" ON "records_wheelreading" ("tool_id");
CREATE TABLE "records_apitoken" ("id" integer NOT NULL PRIMARY KEY AUTOINCREMENT, "name" varchar(60) NOT NULL, "scope" varchar(10) NOT NULL, "digest" varchar(64) NOT NULL UNIQUE, "proof" varchar(64) NOT NULL, "made_at" datetime NOT NULL, "ends_at" datetime NOT NULL, "ended_at" datetime NULL, "last_used" datetime NULL, "person_id" bigint NOT NULL REFERENCES "records_person" ("id") DEFERRABLE INITIALLY DEFERRED, CONSTRAINT "token_scope_known" CHECK ("scope" IN ('look', 'work')));
CREATE INDEX "records_apitoken_person_id_673cfe93" ON "records_apitoken" ("person_id");
CREATE TRIGGER event_corrected_once BEFORE INSERT ON records_event WHEN NEW.corrects_id IS NOT NULL AND NEW.kind IN ('reading taken', 'done value', 'display read') AND EXISTS (SELECT 1 FROM records_event e WHERE e.corrects_id = NEW.corrects_id AND e.kind = NEW.kind AND NOT EXISTS (SELECT 1 FROM records_event u WHERE u.corrects_id = e.id AND u.kind = 'undone')) BEGIN SELECT RAISE(ABORT, 'this was corrected already: correct the newest one'); END;
CREATE TRIGGER event_handed_over_once BEFORE INSERT ON records_event WHEN NEW.kind = 'handed over' AND EXISTS (SELECT 1 FROM records_event e WHERE e.job_id = NEW.job_id AND e.kind = 'handed over' AND NOT EXISTS (SELECT 1 FROM records_event u WHERE u.corrects_id = e.id AND u.kind = 'undone')) BEGIN SELECT RAISE(ABORT, 'this job was handed over already'); END;
CREATE TABLE "records_binpart" ("id" integer NOT NULL PRIMARY KEY AUTOINCREMENT, "number" varchar(60) NOT NULL UNIQUE, "kind" varchar(60) NOT NULL, "place" varchar(20) NOT NULL, "words" varchar(200) NOT NULL, "facts" text NOT NULL CHECK ((JSON_VALID("facts") OR "facts" IS NULL)), "meets" varchar(120) NOT NULL, "price" decimal NOT NULL, "minutes" smallint unsigned NULL CHECK ("minutes" >= 0), "bin" varchar(40) NOT NULL, "count" integer NOT NULL, "used_part_id" bigint NULL UNIQUE REFERENCES "records_part" ("id") DEFERRABLE INITIALLY DEFERRED, "low_mark" smallint unsigned NULL CHECK ("low_mark" >= 0), "order_up_to" smallint unsigned NULL CHECK ("order_up_to" >= 0), "gtin" varchar(14) NOT NULL, CONSTRAINT "bin_price_not_negative" CHECK ("price" >= '0'), CONSTRAINT "a_used_part_is_one_piece" CHECK (("used_part_id" IS NULL OR "count" <= 1)));
CREATE INDEX "records_binpart_gtin_b59e251e" ON "records_binpart" ("gtin");
CREATE TABLE "records_workshop" ("id" integer NOT NULL PRIMARY KEY AUTOINCREMENT, "name" varchar(120) NOT NULL, "town" varchar(120) NOT NULL, "currency" varchar(3) NOT NULL, "labour_an_hour" decimal NOT NULL, "tax_percent" decimal NOT NULL, "stands" smallint unsigned NOT NULL CHECK ("stands" >= 0), "chain_school" varchar(5) NOT NULL, "visit_every_days" smallint unsigned NOT NULL CHECK ("visit_every_days" >= 0), "is_demo" bool NOT NULL, "country" varchar(2) NOT NULL, "open_days" text NOT NULL CHECK ((JSON_VALID("open_days") OR "open_days" IS NULL)), "address" varchar(300) NOT NULL, "foot_words" varchar(400) NOT NULL, "holds_days" smallint unsigned NOT NULL CHECK ("holds_days" >= 0), "is_registered" bool NOT NULL, "paper" varchar(6) NOT NULL, "phone" varchar(40) NOT NULL, "remind_days" smallint unsigned NOT NULL CHECK ("remind_days" >= 0), "tax_number" varchar(40) NOT NULL, "words" text NOT NULL CHECK ((JSON_VALID("words") OR "words" IS NULL)), "backup_place" varchar(300) NOT NULL, "first_list_away" bool NOT NULL, "mail" varchar(200) NOT NULL, CONSTRAINT "labour_not_negative" CHECK ("labour_an_hour" >= '0'), CONSTRAINT "tax_percent_sane" CHECK (("tax_percent" >= '0' AND "tax_percent" < '100')), CONSTRAINT "chain_school_known" CHECK ("chain_school" IN ('early', 'late')), CONSTRAINT "paper_known" CHECK ("paper" IN ('a4', 'letter')));
CREATE TABLE "records_supplierpart" ("id" integer NOT NULL PRIMARY KEY AUTOINCREMENT, "number" varchar(60) NOT NULL, "each" decimal NOT NULL, "pack" smallint unsigned NOT NULL CHECK ("pack" >= 0), "bin_part_id" bigint NOT NULL REFERENCES "records_binpart" ("id") DEFERRABLE INITIALLY DEFERRED, "supplier_id" bigint NOT NULL REFERENCES "records_supplier" ("id") DEFERRABLE INITIALLY DEFERRED, CONSTRAINT "sold_once_by_a_supplier" UNIQUE ("bin_part_id", "supplier_id"), CONSTRAINT "sold_in_packs" CHECK (("each" >= '0' AND "pack" >= 1)));
CREATE INDEX "records_supplierpart_bin_part_id_dc656846" ON "records_supplierpart" ("bin_part_id");
CREATE INDEX "records_supplierpart_supplier_id_f09ca6ed" ON "records_supplierpart" ("supplier_id");
CREATE INDEX "records_job_owner_id_a2efa6b4" ON "records_job" ("owner_id");
CREATE TABLE "records_claim" ("event_id" bigint NOT NULL PRIMARY KEY REFERENCES "records_event" ("id") DEFERRABLE INITIALLY DEFERRED, "broke" varchar(400) NOT NULL, "day" date NOT NULL, "instrument_id" bigint NULL REFERENCES "records_instrument" ("id") DEFERRABLE INITIALLY DEFERRED, "part_id" bigint NULL REFERENCES "records_part" ("id") DEFERRABLE INITIALLY DEFERRED, "tool_id" bigint NULL REFERENCES "records_tool" ("id") DEFERRABLE INITIALLY DEFERRED, CONSTRAINT "claim_of_one_thing" CHECK ((("instrument_id" IS NULL AND "part_id" IS NOT NULL AND "tool_id" IS NULL) OR ("instrument_id" IS NULL AND "part_id" IS NULL AND "tool_id" IS NOT NULL) OR ("instrument_id" IS NOT NULL AND "part_id" IS NULL AND "tool_id" IS NULL))));
CREATE TABLE "records_claimmove" ("event_id" bigint NOT NULL PRIMARY KEY REFERENCES "records_event" ("id") DEFERRABLE INITIALLY DEFERRED, "state" varchar(20) NOT NULL, "words" varchar(200) NOT NULL, "answer_by" date NULL, "claim_id" bigint NOT NULL REFERENCES "records_claim" ("event_id") DEFERRABLE INITIALLY DEFERRED, CONSTRAINT "claim_state_known" CHECK ("state" IN ('sent', 'granted', 'refused', 'dropped')));
CREATE TABLE "records_proofphoto" ("event_id" bigint NOT NULL PRIMARY KEY REFERENCES "records_event" ("id") DEFERRABLE INITIALLY DEFERRED, "words" varchar(200) NOT NULL, "jpeg" BLOB NOT NULL, "claim_id" bigint NULL REFERENCES "records_claim" ("event_id") DEFERRABLE INITIALLY DEFERRED);
CREATE TABLE "records_warranty" ("event_id" bigint NOT NULL PRIMARY KEY REFERENCES "records_event" ("id") DEFERRABLE INITIALLY DEFERRED, "bought" date NULL, "seller" varchar(120) NOT NULL, "months" smallint unsigned NULL CHECK ("months" >= 0), "for_life" bool NOT NULL, "words" varchar(200) NOT NULL, "instrument_id" bigint NULL REFERENCES "records_instrument" ("id") DEFERRABLE INITIALLY DEFERRED, "part_id" bigint NULL REFERENCES "records_part" ("id") DEFERRABLE INITIALLY DEFERRED, "tool_id" bigint NULL REFERENCES "records_tool" ("id") DEFERRABLE INITIALLY DEFERRED, CONSTRAINT "warranty_of_one_thing" CHECK ((("instrument_id" IS NULL AND "part_id" IS NOT NULL AND "tool_id" IS NULL) OR ("instrument_id" IS NULL AND "part_id" IS NULL AND "tool_id" IS NOT NULL) OR ("instrument_id" IS NOT NULL AND "part_id" IS NULL AND "tool_id" IS NULL))), CONSTRAINT "warranty_months_or_life" CHECK (("months" IS NULL OR NOT "for_life")));
CREATE TRIGGER warranty_no_update BEFORE UPDATE ON records_warranty WHEN NOT EXISTS (SELECT 1 FROM records_erasing) BEGIN SELECT RAISE(ABORT, 'what was written down is not changed or removed: add a correction'); END;
CREATE TRIGGER warranty_no_delete BEFORE DELETE ON records_warranty WHEN NOT EXISTS (SELECT 1 FROM records_erasing) BEGIN SELECT RAISE(ABORT, 'what was written down is not changed or removed: add a correction'); END;
CREATE TRIGGER claim_no_update BEFORE UPDATE ON records_claim WHEN NOT EXISTS (SELECT 1 FROM records_erasing) BEGIN SELECT RAISE(ABORT, 'what was written down is not changed or removed: add a correction'); END;
CREATE TRIGGER claim_no_delete BEFORE DELETE ON records_claim WHEN NOT EXISTS (SELECT 1 FROM records_erasing) BEGIN SELECT RAISE(ABORT, 'what was written down is not changed or removed: add a correction'); END;
CREATE TRIGGER claimmove_no_update BEFORE UPDATE ON records_claimmove WHEN NOT EXISTS (SELECT 1 FROM records_erasing) BEGIN SELECT RAISE(ABORT, 'what was written down is not changed or removed: add a correction'); END;
CREATE TRIGGER claimmove_no_delete BEFORE DELETE ON records_claimmove WHEN NOT EXISTS (SELECT 1 FROM records_erasing) BEGIN SELECT RAISE(ABORT, 'what was written down is not changed or removed: add a correction'); END;
CREATE INDEX "records_claim_instrument_id_9c78998d" ON "records_claim" ("instrument_id");
CREATE INDEX "records_claim_part_id_a8b33e1c" ON "records_claim" ("part_id");
CREATE INDEX "records_claim_tool_id_208bf6eb" ON "records_claim" ("tool_id");
CREATE INDEX "records_claimmove_claim_id_69921d02" ON "records_claimmove" ("claim_id");
CREATE INDEX "records_proofphoto_claim_id_9655c895" ON "records_proofphoto" ("claim_id");
CREATE INDEX "records_warranty_instrument_id_ee6a8021" ON "records_warranty" ("instrument_id");
CREATE INDEX "records_warranty_part_id_56e2ef06" ON "records_warranty" ("part_id");
CREATE INDEX "records_warranty_tool_id_fa9ee0e8" ON "records_warranty" ("tool_id");
CREATE TABLE "records_jobhere" ("job_id" bigint NOT NULL PRIMARY KEY REFERENCES "records_job" ("id") DEFERRABLE INITIALLY DEFERRED, "bike_id" bigint NOT NULL UNIQUE REFERENCES "records_bike" ("id") DEFERRABLE INITIALLY DEFERRED, "stand" integer unsigned NULL UNIQUE CHECK ("stand" >= 0));
CREATE INDEX "stays_by_day" ON "records_job" ("opened_at");
CREATE TABLE "records_bikecallback" ("bike_id" bigint NOT NULL PRIMARY KEY REFERENCES "records_bike" ("id") DEFERRABLE INITIALLY DEFERRED, "at" datetime NOT NULL, "event_id" bigint NOT NULL REFERENCES "records_event" ("id") DEFERRABLE INITIALLY DEFERRED, "day" date NOT NULL);
CREATE INDEX "records_bikecallback_event_id_3762fbde" ON "records_bikecallback" ("event_id");
CREATE INDEX "call_backs_by_day" ON "records_bikecallback" ("day", "event_id");
CREATE INDEX "bolts_since_an_act" ON "records_donevalue" ("tool_id", "event_id", "joint");
CREATE INDEX "tries_since_an_act" ON "records_roundtick" ("tool_id", "event_id", "joint");
CREATE TABLE "django_session" ("session_key" varchar(40) NOT NULL PRIMARY KEY, "session_data" text NOT NULL, "expire_date" datetime NOT NULL);
CREATE INDEX "django_session_expire_date_a5c62663" ON "django_session" ("expire_date");
INSERT INTO sqlite_sequence VALUES ('auth_group', 0);
INSERT INTO sqlite_sequence VALUES ('axes_accessattempt', 0);
INSERT INTO sqlite_sequence VALUES ('axes_accesslog', 0);
INSERT INTO sqlite_sequence VALUES ('records_bike', 0);
INSERT INTO sqlite_sequence VALUES ('records_binpart', 0);
INSERT INTO sqlite_sequence VALUES ('records_fitting', 0);
INSERT INTO sqlite_sequence VALUES ('records_owner', 0);
INSERT INTO sqlite_sequence VALUES ('records_part', 0);
INSERT INTO sqlite_sequence VALUES ('records_person', 0);
INSERT INTO sqlite_sequence VALUES ('records_ride', 0);
INSERT INTO sqlite_sequence VALUES ('records_supplierpart', 0);
INSERT INTO sqlite_sequence VALUES ('records_trainer', 0);
INSERT INTO sqlite_sequence VALUES ('records_workshop', 0);
