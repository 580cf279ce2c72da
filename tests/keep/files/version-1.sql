BEGIN TRANSACTION;
CREATE TABLE event (
    make INTEGER NOT NULL REFERENCES make(id),
    seq INTEGER NOT NULL,
    at REAL NOT NULL,
    kind TEXT NOT NULL,
    body TEXT NOT NULL,
    PRIMARY KEY (make, seq)
);
INSERT INTO "event" VALUES(2,1,1700000000.0,'advance','{"at":1700000000.0,"kind":"advance","step":1}');
INSERT INTO "event" VALUES(2,2,1700000060.0,'advance','{"at":1700000060.0,"kind":"advance","step":2}');
INSERT INTO "event" VALUES(2,3,1700000120.0,'advance','{"at":1700000120.0,"kind":"advance","step":3}');
INSERT INTO "event" VALUES(2,4,1700000180.0,'advance','{"at":1700000180.0,"kind":"advance","step":4}');
INSERT INTO "event" VALUES(2,5,1700000240.0,'dropped loop','{"at":1700000240.0,"kind":"dropped loop","step":5,"loop":2}');
INSERT INTO "event" VALUES(2,6,1700000300.0,'repaired','{"at":1700000300.0,"kind":"repaired","mark":1}');
INSERT INTO "event" VALUES(2,7,1700000360.0,'note','{"at":1700000360.0,"kind":"note","text":"blue “tail” left long – ½"}');
INSERT INTO "event" VALUES(2,8,1700000420.0,'advance','{"at":1700000420.0,"kind":"advance","step":5}');
INSERT INTO "event" VALUES(2,9,1700000480.0,'undo','{"at":1700000480.0,"kind":"undo"}');
INSERT INTO "event" VALUES(2,10,1700000540.0,'new ball','{"at":1700000540.0,"kind":"new ball","loops":30}');
INSERT INTO "event" VALUES(2,11,1700000600.0,'pause','{"at":1700000600.0,"kind":"pause"}');
INSERT INTO "event" VALUES(2,12,1700000660.0,'resume','{"at":1700000660.0,"kind":"resume"}');
CREATE TABLE make (
    id INTEGER PRIMARY KEY,
    name TEXT NOT NULL UNIQUE,
    plan TEXT NOT NULL,
    created REAL NOT NULL
);
INSERT INTO "make" VALUES(1,'harbour-cardigan','{"design":"cardigan","title":"Harbour cardigan","size":"M","craft":"loop yarn","hand":"right","gauge":{"loops_per_10cm":5.0,"rows_per_10cm":3.75},"measures":{"bust":94.0,"ease":7.6,"body_height":35.4,"armhole_depth":21.4,"neck_width":16.0,"underarm":6.0,"back_neck_to_cuff":74.3,"upper_arm":27.9,"cuff":24.7,"overlap":0.0},"rows":{},"counts":{},"ball_loops":null,"scale":1.0,"pattern":null}',1700000000.0);
INSERT INTO "make" VALUES(2,'porch-throw','{"design":"throw","title":"Porch throw","size":"","craft":"loop yarn","hand":"right","gauge":{"loops_per_10cm":5.0,"rows_per_10cm":3.75},"measures":{"width":100.0,"height":130.0},"rows":{},"counts":{},"ball_loops":40,"scale":1.0,"pattern":null}',1700000000.0);
COMMIT;
